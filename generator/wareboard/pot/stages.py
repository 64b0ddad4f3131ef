"""The five stages of a pot, in order."""

STAGES = ("wet", "leather-hard", "dry", "bisque", "fired")
LATER_STAGES = STAGES[1:]
