"""What every rule means and what to do about it, for a maker: the entry under which a message's `[rule]` is found."""

from __future__ import annotations

from collections.abc import Callable

from wareboard.figures import limits, proportions
from wareboard.figures.checks import RULES as CHECKS

_READING = {
    # the text of a file
    "not-yaml": "The file is not written in the way that specs are: `key: value`, one a line, the lines below a key set in with spaces. Look at the quotes, the colons and how far the line is set in.",
    "unprintable": "There is a character in the file that cannot be seen or printed; it often comes along when something is pasted. Delete it.",
    "empty-file": "The file holds nothing but perhaps comments. Write a spec, or delete the file.",
    "not-a-mapping": "A spec is lines of `key: value`, and this file begins with something else. Begin it with `title:`.",
    "too-deep": "Lines or brackets stand deeper inside one another than any spec needs. Look at the brackets and at how far the lines are set in.",
    "too-long": "The file is far longer than any spec. Perhaps something else was saved under its name.",
    "yaml-tag": "A value starts with `!`, which means something else in YAML. Put quotes around the value.",
    "odd-key": "Before the colon stands something in brackets. A key is a plain word; put quotes around a text that holds brackets or a colon.",
    "repeated-key": "One key stands twice in the same place, so it is not clear which value holds. Keep one of the two.",
    "decimal-comma": "Inside braces a comma parts one key from the next, so `{diameter: 14,5}` says `diameter: 14` and a key `5`. Write a point: `14.5`.",
    "cut-by-hash": "Behind a space, `#` begins a comment, so `title: Jar #3` is read as `Jar`. Put quotes around the text, or a space behind the `#` where a comment is meant.",
    "long-text": "A text is longer than can stand in its place. What is long goes into the notes.",
    "unsettable-notes": "The notes hold so many lines or marks, words so long, or lists so deep in one another, that setting them would take minutes. They are for a page of words.",
    "too-many": "There is more of something in one place than can be worked with: 400 stations, 50 parts, 200 steps a stage. Perhaps lines were pasted twice.",
    "too-many-problems": "So much is wrong in one file that only the first 200 problems are told. Mend those; often one of them is the cause of the rest.",
    # files and folders
    "no-studio": "There is no `specs/studio.yaml`. Go to the folder that holds `specs/`, or make one with `wareboard start`.",
    "odd-file-name": "A spec's file name is what other files call it by: lower-case letters, digits and hyphens, and `.yaml` at its end. Rename the file.",
    "misplaced-file": "The file stands where no spec is read. Move it to `specs/forms/`, `specs/clays/`, `specs/glazes/`, `specs/kilns/`, `specs/runs/` or `specs/orders/`.",
    "link-outside": "A link leads out of the project. Only files that really stand in the folder are read; copy them here.",
    "unreadable-file": "The file or folder cannot be opened. Look at its permissions.",
    "not-utf-8": "The file is saved in another encoding than UTF-8. Save it again as UTF-8.",
    # the site's settings, and a maker's own pages
    "unknown-theme": "The pages stand in a look of their own, so `mkdocs.yml` names `wareboard` as the theme and no other. Your own templates go into its `custom_dir`, your own styles under `extra_css`.",
    "not-followed": "A setting in `mkdocs.yml` says something that these pages do not do, and that would be left out without a word. The message says where it is said instead; else take it out.",
    "other-host": "The pages ask no other host for anything, so that they work without network and tell nobody who reads them. Put the script, the style sheet or the picture into your own pages' folder.",
    "unknown-file": "`mkdocs.yml` names a page, a script, a style sheet or a picture that is not there. Paths are said from the folder that `docs_dir` names.",
    "unknown-block": "A template in `custom_dir` fills a block that the page has not got, so nobody would see it. The message lists the blocks.",
    "name-taken": "A page or file of your own has the address of one that is made from the specs. Give it another name.",
    # keys and values
    "unknown-key": "There is no such key here; it may be misspelt, or set in too far or not far enough. The reference lists every key.",
    "missing-key": "A key that cannot be left out is missing. The message says what it is for, with an example.",
    "wrong-shape": "A list stands where one value is wanted, or one value where there should be lines of their own.",
    "no-value": "There is a key and nothing after its colon. Write the value, or take the line out.",
    "odd-name": "A title, a code or a name of your own holds a character that names can't have. Quotes from a keyboard and `<` or `>` are the usual ones.",
    "long-name": "A name is too long for the space that it has on a card. Shorten it; the notes have room for more.",
    "reserved-name": "A station, a caliper size or a part is called what a figure is called, so that nobody could tell the two apart. Give it another name.",
    "unknown-word": "Only a few words can stand here, and this is none of them. The message lists them.",
    "unreadable-size": "A size is not written in a way that can be read, or its unit is of another kind: `4 mm`, `3 1/2 in`, `1 lb 3 oz`, `12 %`. Nothing is guessed.",
    "size-out-of-range": "A size is below or above what can stand here; a unit or a point may be wrong.",
    "not-whole": "Pieces and tiers are counted in whole numbers.",
    "not-a-date": "A date is written year first: `2026-03-14`.",
    "odd-caliper": "A caliper size says which side is measured and where: `inside rim`, `outside foot`, a size as in `inside 71`, or `fit` where a fit sets it.",
    "odd-stretch": "What is left bare is a stretch of the outside from one station to another, like `foot to bevel`, or `outside`, `inside`, `all` or `none`.",
    "odd-fit-part": "A fit names the caliper sizes of two parts: `jar.mouth`, or of another form `next-beaker/cup.mouth`.",
    "odd-measure": "Each line under `measured` holds one figure, its stage and what was measured: `{cup.rim.diameter wet: [91.0, 90.5]}`.",
}

_NAMES = {
    "unknown-slug": "A file is named that is not there. Other files are called by their file's name without `.yaml`.",
    "unknown-part": "A part is named that the form has not got.",
    "unknown-station": "A station is named that the part has not got. Stations are the names under `outside:` and `inside:`.",
    "unknown-caliper": "A diameter or a fit names a size that does not stand under the part's `calipers:`.",
    "repeated-code": "Two forms have the same code. A code tells pots apart on the shelf, so each form has its own.",
    "no-parts": "A form has at least one part; a plain cup has just one.",
    "too-few-stations": "An outline is drawn from station to station, so it takes two or more.",
    "inside-and-wall": "The inside of a part follows from `wall` and `floor`, or it is listed under `inside:`. Both at once would say two things.",
    "half-a-wall": "A hollow part has a `wall` and a `floor`; a solid one has neither.",
    "no-inside": "The inside of a solid part is to be measured. Give the part a wall and a floor, or measure its outside.",
    "underside-of-lid": "A lid has no foot to be turned, so it has no `underside:`. List its inside instead.",
    "none-and-more": "`none` says that nothing is left bare, and something else stands beside it.",
}

_LIKENESS = {
    "like-circle": "Forms that are like one another in a circle have no sizes of their own. List the sizes of one of them.",
    "like-resized": "A form that is resized follows from another; take that other one as the beginning here too, and resize it.",
    "like-other-stage": "What a form takes from another holds at the other's stage. Leave `sizes` out, and say the stage behind a size that holds at another.",
    "resized-alone": "`resized` says how large a form is beside the one that it is `like`. Name that one.",
    "resized-to-one": "A form is resized to one thing: what it holds, its ball, its height, or a scale.",
    "unknown-kept": "What is kept as it is has to be there: `wall`, `floor`, `left_on`, a station or a caliper size.",
    "resized-cannot-be": "At the size that is asked for the form can't be made: a neck closes, or a wall leaves no inside. The message says what.",
    "resized-holds-nothing": "Only a vessel has a capacity that a form could be resized to.",
    "resized-unreachable": "What is kept does not let the form become so large or so small.",
    "solved-by-nothing": "A thickness is solved by what the part weighs, or else by what it holds. State one of the two.",
    "floor-alone-solved": "What the outside encloses is clay and water and nothing else, so weight and water tell how thick it is all in all, not how thick the floor is beside the wall.",
    "no-wall-does": "No thickness makes the stated weight, or the stated water, come out. One of the measurements or the clay's numbers must be wrong.",
    "weight-and-water-disagree": "The wall was solved by the weight; then it does not hold what is stated. What the outside encloses is clay and water and nothing else, so one of the measurements is wrong, or the side is fuller or leaner between the stations.",
    "gallery-without-wall": "A gallery is short for a ledge in a wall. Where the inside is listed, list the ledge with it.",
    "no-room-for-gallery": "The gallery is deeper than the pot, or wider than its mouth.",
    "foot-of-lid": "A part that opens down has no foot to be turned. List its inside instead.",
    "foot-and-underside": "A foot ring is short for an underside. A part has one or the other.",
    "odd-foot": "A foot ring's sizes do not agree with one another or with the outside.",
    "extra-without-clay": "Added clay needs a weight, or a strap whose weight can be worked out.",
    "unknown-gauge": "A caliper size takes a gauge that the studio has not got. Gauges stand in `studio.yaml`.",
    "gauge-differs": "Where a shared size is measured on the section, the section has to come to it, to one step of the ruler.",
}
_SHAPES = {
    "no-size-there": "A size is to be measured where the part has no inside or no outside, as below the floor. Measure at another station.",
    "wall-too-thick": "The wall leaves no room for an inside. A wall is measured on one side and square to the surface; look at its unit.",
    "floor-too-thick": "The floor reaches up to the rim. Look at its unit.",
    "wall-closes": "At a narrow place the walls meet, so that what is below is cut off. Make the wall thinner there, or list the inside yourself.",
    "too-folded": "The outside turns to and fro so often, and so tightly, that no wall can be laid along it. List fewer stations.",
    "stations-in-one-place": "Two stations that follow one another have one height and one diameter, and a smooth line needs a way between them.",
    "outline-crosses": "The outline runs through itself. List the stations in the order in which they follow one another from the foot up.",
    "outlines-cross": "The inside or the underside comes through the outside. Look at the two at the height that the message names.",
    "from-the-rim-down": "The stations are listed from the rim down. An outline runs from the foot up, and of a part that opens down from its tip up.",
    "lid-opens-up": "A part is called a lid and nothing says that it opens down, so it is worked out as a vessel: its floor at its foot, its rim on top. Write `opens: down`.",
    "handle-upside-down": "A handle's `from` is the height at which its top joins the pot, `to` that of its bottom. Here the top is the lower of the two.",
    "two-units": "Of a station one size has a unit and the other has none, and is read in the form's own, in which it is far from the stations beside it.",
    "no-section": "All stations lie on one line, so there is no clay between them. Look at the diameters.",
    "fill-over-brim": "A pot cannot be filled higher than its brim, the lower edge of its rim.",
}

_FITS = {
    "fit-without-fit": "A caliper size is to be set by a fit, and no fit names it. Write the fit, or give the size.",
    "fit-sides": "A fit's `inside:` is the opening and its `outside:` what goes into it. One of the two names a size that is measured on the other side; most often they stand the wrong way round.",
    "set-twice": "Two fits would set the same size. Give the size yourself, or let one fit have it.",
    "fit-without-size": "A fit sets one side from the other, so one of the two must have a size.",
    "circular-fit": "Sizes follow from one another in a circle, so none of them can be worked out. Give one as a number.",
    "fit-leaves-nothing": "The clearance is as wide as the opening, so that nothing would be left to go into it. Look at the unit of `aim`.",
    "aim-outside-limits": "A fit aims at a clearance that its own `least` or `most` rules out.",
}

_CLAYS = {
    "no-shrinkage": "Fired shrinkage must be known, from the `shrinkage:` line or from test bars. Nothing is guessed in its place.",
    "dry-assumed": "Only fired shrinkage is given, as suppliers do. What the clay shrinks in drying is then taken for half of it, and what is set by a wet or leather-hard size is as doubtful as that. A few bars tell.",
    "bar-as-shrinkage": "A bar's line holds the distance between its marks at each stage, as calipers read it; one that is less than half of it wet is what the bar shrank by.",
    "clay-cannot-be": "Only what is shrunk after drying can be given in % of the dry length, so `of dry` goes with bisque and fired.",
    "out-of-range": "No clay shrinks by less than nothing, or to nothing. Look at the bar or the percentage.",
    "shrinkage-falls": "Shrinkage is counted from the wet length at every stage, so it does not fall from one stage to the next. Perhaps a stage was measured from the dry length; then write `of dry`.",
    "critical-water-below-zero": "At this water and shrinkage the dry clay would be denser than the grains that it is made of. One of the numbers is wrong; weigh and measure a bar again.",
    "dries-past-its-water": "What the clay loses by shrinking alone is more water than it has. Look at water, density and shrinkage.",
    "bulk-over-grain": "After firing the clay would be denser than its grains. Look at shrinkage, loss on ignition and density.",
    "denser-than-saturated": "The wet clay is said to be denser than it would be without any air. Weigh a known volume again, or leave `density` out.",
    "slop-cannot-be": "A glaze slop is denser than water and less dense than its grains. Look at `pint_weight` and `grain_density`.",
}

_ORDERS = {
    "losses-leave-nothing": "So much is said to be lost that hardly a piece would come through, so no number to throw is planned. Each loss is a share of what reaches that stage, not of what was thrown.",
    "more-than-ordered": "An order takes more sets from stock than it asks for. Take no more than the line's `sets`.",
    "more-than-in-stock": "Orders take more from stock than other orders left over. Count what came out of the kiln in the order that left it, or take less.",
    "not-in-order": "Something was counted of a form that the order does not ask for. Add a line for it, or count it in the order that it belongs to.",
    "tally-grows": "More pieces are counted at a stage than there were before it. Count again; pieces that are thrown anew are a batch of their own, an entry of their own under `made`.",
    "taller-than-kiln": "A piece is too tall for the kiln, with its shelf below and its headroom above. It is left out of the loads; all else is planned. Name another kiln.",
    "wider-than-shelf": "A piece reaches over the edge of the kiln's shelf. It is left out of the loads; all else is planned. Name another kiln.",
    "too-soft-to-blend": "All the clay at hand is softer than what is thrown, and water cannot be taken out by blending. The message says the firmest that can be had.",
    "water-unknown": "Clay at hand can be blended only when its water is known: write `water`, or weigh a lump of it wet and bone dry and write `weighed`. Not both.",
    "heavier-dry": "A lump of clay weighs more dry than wet. Weigh it again, or exchange the two.",
    "coat-without-area": "A coat was weighed on a form whose glazed area is not known, as the form has errors or nothing of it is glazed. Mend the form, name another, or write `area:`.",
    "due-passed": "The day on which an order was due has passed, and it is not marked as sent. The rest is planned all the same.",
    "begins-too-late": "Counted back from the day on which it is due, the work should have begun before today. Ask for more time, or leave out spare days.",
}

_PRINTING = {
    "no-glyph": "A name or a text holds a sign that none of the fonts of the cards has, so that a box would be printed. Latin, Greek and Cyrillic are there; for other scripts put a font into `specs/fonts/` and name it under `fonts:` in `studio.yaml`.",
    "unknown-font": "A font is named under `fonts:` that does not stand in `specs/fonts/`, or is no TrueType or OpenType font.",
}


def _rule(check: Callable[..., object]) -> str:
    name: str = check.__name__
    return name.replace("_", "-")


def _said(check: Callable[..., object]) -> str:
    return " ".join((check.__doc__ or "").split())


_HARDLY: tuple[Callable[..., object], ...] = (*proportions.RULES, proportions.measured_far_off, *limits.RULES)
# By what a rule is about, in the order in which a spec is read.
GROUPS: dict[str, dict[str, str]] = {
    "Reading a file": _READING, "Names": _NAMES, "Shapes": _SHAPES, "Likeness, measures and shorthand": _LIKENESS, "Fits": _FITS, "Clays and glazes": _CLAYS, "Orders": _ORDERS, "Printing": _PRINTING,
    "What to look at": {_rule(check): _said(check) for check in CHECKS if check not in proportions.RULES},
    "What hardly can be": {
        _rule(check): _said(check) for check in _HARDLY
    },
}  # fmt: skip
RULES: dict[str, str] = {rule: said for group in GROUPS.values() for rule, said in group.items()}
