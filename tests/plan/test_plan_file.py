"""The plan's text: every wrong word is refused with its line and the words that would do."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pixel2make.errors import PlanError
from pixel2make.plan import merge_plan, parse_plan
from pixel2make.plan.lines import key_lines
from pixel2make.plan.write import toml_string

KINDS = ("front", "front_with_edges", "oblique", "axonometric")
PLAN = """\
# a plan
plan_version = 1
kind = "book"

[sprite]
file = "tome.png"
sha256 = "00"

[size]
height = "300mm"

[view]
kind = "front"
cover_corners = [
    [1, 1],
    [9, 1],
    [9, 13], [1, 13],
]

[regions]
r1 = "outline"
"r2.cover" = "cover"

[[box]]
at = [1, 2, 3, 4]
feature = "clasp"

[choices]
corner_radius = "8mm"
"""


def parse(text):
    return parse_plan(text, view_kinds=KINDS)


def test_a_whole_plan():
    plan = parse(PLAN)
    assert (plan.size.edge, plan.size.mm, plan.size.text) == ("height", 300.0, "300mm")
    assert plan.regions == (("r1", "outline"), ("r2.cover", "cover"))
    assert plan.boxes == ((1, 2, 3, 4, "clasp"),)
    assert plan.choices == (("corner_radius", "8mm"),)
    assert plan.view.cover_corners[2] == (9.0, 13.0)
    assert plan.place("box[0].feature") == "line 26: "


def test_a_dotted_key_without_quotes_is_the_same_name():
    assert parse(PLAN.replace('"r2.cover" =', "r2.cover =")).regions == (
        ("r1", "outline"),
        ("r2.cover", "cover"),
    )


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('height = "300mm"', "height = 300", r"^line 10: size\.height is text in quotes, such as \"300mm\"$"),
        ('height = "300mm"', 'height = "300"', r"^line 10: size\.height: .*300mm"),
        (
            'height = "300mm"',
            'hight = "300mm"',
            r"^line 10: there is no key 'hight' in \[size\]; did you mean height",
        ),
        (
            'height = "300mm"',
            'height = "3cm"\nwidth = "2cm"',
            r"^line 11: \[size\] gives height and width; keep one",
        ),
        ('kind = "front"', 'kind = "isometric"', r"^line 13: there is no view 'isometric'; .*axonometric"),
        ("[9, 1]", "[9]", r"^line 14: view\.cover_corners is four points"),
        ("[9, 1]", "[9, nan]", r"^line 14: view\.cover_corners is four points"),
        ("at = [1, 2, 3, 4]", "at = [1, 2, 3]", r"^line 25: box\[0\]\.at is four whole numbers"),
        ("at = [1, 2, 3, 4]", "at = [1, 2, 0, 4]", r"^line 25: a box says where"),
        ("at = ", "place = ", r"^line 25: there is no key 'place' in \[box\[0\]\]; .*at, feature"),
        ("plan_version = 1", "plan_version = 7", r"^line 2: plan_version is 1 here, not 7"),
        ('r1 = "outline"', "r1 = 3", r"^line 21: regions\.r1 is a word in quotes"),
        ("[regions]", "[regionz]", r"^line 20: there is no key 'regionz'; did you mean regions"),
        ('"r2.cover" =', 'r2.cover = "x"\n"r2.cover" =', r"^line 22: regions\.r2\.cover stands twice"),
        ("[choices]", "[choices", r"is not valid TOML: .*line 28"),
        ('sha256 = "00"', "", r"^line 5: the key sprite\.sha256 is missing"),
    ],
)
def test_each_fault_names_its_line_and_what_would_do(old, new, message):
    assert old in PLAN
    with pytest.raises(PlanError, match=message) as error:
        parse(PLAN.replace(old, new))
    assert "\n" not in str(error.value).replace("\n", "\n", 0) or "valid TOML" in str(error.value)


def test_missing_sprite_table():
    with pytest.raises(PlanError, match=r"the table \[sprite\] is missing"):
        parse('plan_version = 1\nkind = "book"\n')


def test_merge_keeps_the_makers_values_comments_and_order():
    own = PLAN.replace('r1 = "outline"', 'r1 = "clasp"  # I can see a hook')
    fresh = PLAN.replace('"r2.cover" = "cover"\n', '"r2.cover" = "cover"\nr3 = "emblem"\n')
    text, kept = merge_plan(own, fresh)
    assert 'r1 = "clasp"  # I can see a hook' in text
    assert dict(parse(text).regions) == {"r1": "clasp", "r2.cover": "cover", "r3": "emblem"}
    assert kept == ("regions.r1 stays clasp (read now: outline)",)


def test_merge_does_not_add_a_second_edge_to_the_size():
    own = PLAN.replace('height = "300mm"', 'width = "21cm"')
    text, _ = merge_plan(own, PLAN)
    assert parse(text).size.edge == "width"
    text, _ = merge_plan(own, PLAN, win=("size",))
    assert parse(text).size.edge == "height"


def test_merge_with_an_unquoted_dotted_key_adds_no_second_one():
    own = PLAN.replace('"r2.cover" = "cover"', 'r2.cover = "emblem"')
    text, _ = merge_plan(own, PLAN)
    assert dict(parse(text).regions)["r2.cover"] == "emblem"


def test_merge_of_a_plan_with_itself_changes_nothing():
    assert merge_plan(PLAN, PLAN) == (PLAN, ())


@given(st.text(max_size=40))
def test_strings_survive_the_standard_librarys_parser(text):
    if any(0xD800 <= ord(c) <= 0xDFFF for c in text):
        return
    assert tomllib.loads(f"a = {toml_string(text)}")["a"] == text


@given(
    st.dictionaries(
        st.from_regex(r"\A[a-z][a-z0-9_]{0,6}\Z"),
        st.dictionaries(st.from_regex(r"\A[a-z][a-z0-9_]{0,6}\Z"), st.integers() | st.lists(st.integers())),
        min_size=1,
        max_size=4,
    )
)
def test_key_lines_point_at_the_line_of_each_key(data):
    lines = []
    for table, entries in data.items():
        lines.append(f"[{table}]")
        lines += [f"{key} = {value}" for key, value in entries.items()]
    found = key_lines("\n".join(lines))
    for table, entries in data.items():
        for key in entries:
            assert lines[found[f"{table}.{key}"] - 1].startswith(f"{key} =")
