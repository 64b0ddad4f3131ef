"""Pure rooms as JavaScript: what is written, and that whatever is not known is refused aloud. What it comes to is tried in a browser."""

import sys
import types
from dataclasses import dataclass
from math import inf

import pytest
from wareboard.pot import answers, match
from wareboard.pot.clay import make_body
from wareboard.pot.moisture import Calipered, Readings
from wareboard.text import javascript
from wareboard.text.javascript import Untranslatable, as_json, script_of


@pytest.fixture
def room(monkeypatch):
    """Makes a pure room of a text, and gives its function `f`."""

    def made(text):
        module = types.ModuleType("wareboard.pot.made_up")
        monkeypatch.setitem(sys.modules, module.__name__, module)
        exec(compile(text, "made_up.py", "exec"), module.__dict__)
        monkeypatch.setattr(javascript.inspect, "getsource", lambda _: text)
        return module.f

    return made


def test_everything_that_is_named_comes_along_and_nothing_twice():
    script = script_of("formulas", [match.match_parts, answers.try_pair])
    for name in ("part_now", "shrunk_by_size", "shrinkage_at_volume_scale", "_goal_mm"):
        assert script.count(f"function {name}(") == 1
    assert "class PartNow" in script and "records: {" in script
    # a record brings only what is asked of it: no page asks how much air is in the clay
    assert "air_share" not in script_of("formulas", [type(make_body(water_share=0.2, line={"fired": 0.1}))])


def test_arguments_by_name_go_to_their_places(room):
    script = script_of(
        "it", [room("def g(a, b=1.0, *, c=2.0):\n    return a + b + c\ndef f(x):\n    return g(x, c=3.0)\n")]
    )
    assert "function g(a, b = 1.0, c = 2.0)" in script
    assert "g(x, undefined, 3.0)" in script


def test_what_is_refused_keeps_its_name_and_not_its_message(room):
    script = script_of(
        "it", [room('def f(x):\n    if x < 0.0:\n        raise ValueError(f"{x} is too little")\n    return x\n')]
    )
    assert 'throw new Refused("ValueError", [])' in script and "too little" not in script


def test_empty_is_false_as_it_is_in_python(room):
    script = script_of(
        "it", [room("def f(x):\n    found = [y for y in x if y > 1.0]\n    return 1.0 if not found else found[0]\n")]
    )
    assert "!truth(found)" in script and "const truth" in script


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("def f(x):\n    import os\n    return x\n", "Import is not known here"),
        ("def f(x):\n    with x:\n        return 1\n", "With is not known here"),
        ("def f(x):\n    return f'{x}'\n", "JoinedStr is not known here"),
        ("def f(x):\n    return x // 2\n", "BinOp is not known here"),
        ("def f(*x):\n    return 1\n", "arguments that are not named"),
        ("def f(x):\n    return sorted(x)\n", "sorted is not known here"),
        ("def f(x):\n    return [a for a in x for b in x]\n", "only one `for`"),
        ("def f(x):\n    return x.half_width(level=2)\n", "arguments by name of what is not known"),
        ("def f(x):\n    return (x, 1) == (1, x)\n", "only plain values are compared"),
        ("import re\ndef f(x):\n    return re.sub(x, x, x)\n", "sub"),
    ],
)
def test_what_is_not_known_is_refused_with_its_line(room, text, told):
    with pytest.raises(Untranslatable, match=r"made_up|re\.") as refused:
        script_of("it", [room(text)])
    assert told in str(refused.value)


def test_a_function_of_no_pure_room_is_refused():
    with pytest.raises(Untranslatable, match="of no pure room"):
        script_of("it", [as_json])


def test_values_as_json_name_the_records_that_the_script_knows():
    @dataclass(frozen=True)
    class Asked:
        read: Readings
        most: float

    assert as_json(Asked(Readings(size=Calipered(2.0, 1.0)), inf)) == {
        "read": {"Readings": [None, {"Calipered": [2.0, 1.0, 0.0, 0.0]}]}, "most": "inf",
    }  # fmt: skip
    with pytest.raises(Untranslatable, match="object"):
        as_json(object())
