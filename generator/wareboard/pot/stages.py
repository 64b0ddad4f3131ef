"""The five stages of a pot, and the stages of the work, in order."""

STAGES = ("wet", "leather-hard", "dry", "bisque", "fired")
LATER_STAGES = STAGES[1:]
# The stages of the work at which pieces are lost, in order, and what is counted after each.
WORK = ("throwing", "trimming", "drying", "bisque", "glaze")
COUNTED = ("thrown", "trimmed", "dried", "bisque", "fired")
