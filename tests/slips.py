"""A form as a maker types it, and what is mistyped in it."""

BEAKER = """\
title: Tall beaker
code: B-12
clay: millpond-buff
glaze: lichen-satin
sizes: fired
unit: mm
parts:
  cup:
    outside:
      foot: {height: 0, diameter: 58}
      bevel: {height: 2, diameter: 62}
      rim: {height: 120, diameter: 80}
    line: straight
    wall: 4
    floor: 5
    fill_to: rim
    bare: foot to bevel
    throwing:
      loss: 6 %
      gauge_at: rim
"""

# What a maker really mistypes, each as (what stands there, what is typed instead).
SEEDED = [
    ("wall: 4", "wall: 40"),
    ("wall: 4", "wal: 4"),
    ("wall: 4", "wall: 4 kg"),
    ("floor: 5", "floor: 80 mn"),
    ("floor: 5", "floor: 1,4"),
    ("floor: 5", "floor:"),
    ("clay: millpond-buff", "clay: milpond-buff"),
    ("glaze: lichen-satin", "glaze: lichen-stain"),
    ("sizes: fired", "sizes: glazed"),
    ("unit: mm", "unit: metres"),
    ("loss: 6 %", "loss: 6 mm"),
    ("loss: 6 %", "loss: 600 %"),
    ("diameter: 80", "diametre: 80"),
    ("diameter: 80", "diameter: eighty"),
    ("height: 120", "height: 120 g"),
    ("fill_to: rim", "fill_to: rimm"),
    ("fill_to: rim", "fill_to: 300"),
    ("bare: foot to bevel", "bare: foot to bevle"),
    ("bare: foot to bevel", "bare: somewhere"),
    ("gauge_at: rim", "gauge_at: brim"),
    ("title: Tall beaker", "titel: Tall beaker"),
    ("line: straight", "line: strait"),
    ("parts:", "parts"),
]
