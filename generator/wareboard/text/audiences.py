"""For whom output is made."""

STUDIO, ASSISTANT, STOCKIST = "studio", "assistant", "stockist"
AUDIENCES = (STUDIO, ASSISTANT, STOCKIST)
