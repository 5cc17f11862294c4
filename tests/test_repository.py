"""What the repository says of itself is true: commands, links, settings, pins, the shape of its rooms."""

from __future__ import annotations

import argparse
import ast
import re
import tomllib
from itertools import chain
from pathlib import Path

import tickover

ROOT = Path(__file__).resolve().parent.parent
TEXT = {".py", ".md", ".toml", ".html", ".css", ".js", ".typ", ".txt", ".svg", ""}
BUILT = {".git", "__pycache__", "shots", "snapshots"}
DOCUMENTS = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").glob("*.md")])
SOURCES = sorted((ROOT / "src" / "tickover").rglob("*.py"))
LAID_OUT_BY_DJANGO = {"migrations", "templatetags", "management", "commands"}
PACKAGES = [p for p in SOURCES if p.name == "__init__.py" and p.parent.name not in LAID_OUT_BY_DJANGO]


def relative(path: Path) -> str:
    return str(path.relative_to(ROOT))


def every_text_file() -> list[Path]:
    inside = [p for room in ("src", "tests", "benchmarks", "docs", ".ci") for p in (ROOT / room).rglob("*")]
    found = [p for p in [*ROOT.iterdir(), *inside] if p.is_file() and p.suffix in TEXT]
    return sorted(p for p in found if not BUILT & set(p.parts))


def code_of(document: str) -> str:
    """The fenced blocks and the words in backticks, a line each."""
    fenced = re.findall(r"^```\w*\n(.*?)^```", document, re.M | re.S)
    rest = re.sub(r"^```.*?^```", "", document, flags=re.M | re.S)
    return "\n".join([*fenced, *re.findall(r"`([^`]+)`", rest)])


def all_code() -> str:
    return "\n".join(code_of(document.read_text()) for document in DOCUMENTS)


def makefile_targets() -> set[str]:
    return set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(), re.M))


def parser() -> argparse.ArgumentParser:
    from tickover.cli import build_parser

    return build_parser()


def commands() -> dict[str, argparse.ArgumentParser]:
    groups = [a for a in parser()._actions if isinstance(a, argparse._SubParsersAction)]
    return dict(groups[0].choices)


def test_every_make_command_in_the_documents_is_in_the_makefile() -> None:
    named = set(re.findall(r"^(?:\$ )?make ([a-z]+)", all_code(), re.M))
    assert {"run", "test", "check", "bench"} <= named
    assert named <= makefile_targets()


def test_the_documents_and_the_command_line_name_the_same_commands() -> None:
    named = set(re.findall(r"(?:^|[\s/\\])tickover(?:\.exe)? ([a-z][a-z-]*)", all_code(), re.M))
    assert named == set(commands())


def test_every_option_in_the_documents_is_one_of_its_command() -> None:
    for name, given in re.findall(r"tickover ([a-z-]+)((?: \S+)*)", all_code()):
        options = re.findall(r"(--[a-z-]+)", given)
        known = {o for action in commands()[name]._actions for o in action.option_strings}
        assert set(options) <= known, f"tickover {name} does not know {set(options) - known}"


def test_each_command_says_in_a_line_what_it_does() -> None:
    groups = [a for a in parser()._actions if isinstance(a, argparse._SubParsersAction)]
    helped = {choice.dest: choice.help for choice in groups[0]._choices_actions}
    assert set(helped) == set(commands())
    assert all(helped.values())


def test_the_links_of_the_documents_lead_somewhere() -> None:
    links = [(d, link) for d in DOCUMENTS for link in re.findall(r"\]\(([^)\s#]+)[^)]*\)", d.read_text())]
    local = [(document, link) for document, link in links if not re.match(r"[a-z]+:", link)]
    assert [(relative(d), link) for d, link in local if not (d.parent / link).exists()] == []


def test_every_setting_from_the_environment_is_documented_and_real() -> None:
    pattern = r"\b(TICKOVER_[A-Z_]+|DATABASE_URL)\b"
    read = {name for source in SOURCES for name in re.findall(pattern, source.read_text())}
    assert read == set(re.findall(pattern, (ROOT / "docs" / "keeping.md").read_text()))


def test_the_package_and_the_project_have_one_version() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    assert project["version"] == tickover.__version__
    assert f"## {tickover.__version__}\n" in (ROOT / "CHANGELOG.md").read_text()


def test_every_requirement_is_pinned_to_one_version() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    asked = list(chain(project["dependencies"], *project["optional-dependencies"].values()))
    names = {re.split(r"[\[<>=~! ]", line)[0].lower() for line in asked}
    pinned = re.findall(r"^([A-Za-z0-9._-]+)==", (ROOT / "constraints.txt").read_text(), re.M)
    assert names <= {name.lower().replace("_", "-") for name in pinned}


# The brackets keep this file from holding what it looks for.
PLACES = re.compile(r"(?<![\w.])/(?:hom[e]|User[s]|roo[t]|wor[k])/\w")
LEFT_IN = re.compile(r"\b(?:TOD[O]|FIXM[E]|XX[X])\b")


def test_no_file_names_a_place_on_one_machine_or_leaves_something_for_later() -> None:
    texts = {relative(path): path.read_text(encoding="utf-8") for path in every_text_file()}
    assert [name for name, text in texts.items() if PLACES.search(text) or LEFT_IN.search(text)] == []


def test_each_room_says_what_lives_in_it() -> None:
    assert [relative(p) for p in PACKAGES if not ast.get_docstring(ast.parse(p.read_text()))] == []


FOLDERS = sorted({p.parent for p in SOURCES if p.parent.name not in LAID_OUT_BY_DJANGO})


def docstring_of(folder: Path) -> str:
    return ast.get_docstring(ast.parse((folder / "__init__.py").read_text())) or ""


def test_each_folder_says_what_lives_there_and_what_it_may_import() -> None:
    """A first line that is a sentence on the folder, its own; then which way imports point."""
    assert [relative(f) for f in FOLDERS if not (f / "__init__.py").exists()] == []
    said = {relative(folder): docstring_of(folder) for folder in FOLDERS}
    assert [name for name, words in said.items() if len(words.split("\n")[0].split()) < 5] == []
    assert [name for name, words in said.items() if not re.search(r"[Ii]mport", words)] == []
    assert len(set(said.values())) == len(said)


def test_no_folder_holds_more_than_fourteen_files() -> None:
    """With its `__init__`. A folder of migrations grows by its nature; no other is left out."""
    held = {relative(f): len(list(f.glob("*.py"))) for f in {p.parent for p in SOURCES}}
    assert {f: n for f, n in held.items() if n > 14 and not f.endswith("/migrations")} == {}


def test_there_is_no_drawer_for_odds_and_ends() -> None:
    drawers = {"utils", "util", "helpers", "helper", "common", "manager", "managers", "base", "misc"}
    assert [relative(p) for p in SOURCES if p.stem in drawers or p.parent.name in drawers] == []


def test_a_file_tells_one_story() -> None:
    assert [relative(p) for p in SOURCES if len(p.read_text().splitlines()) > 400] == []


def test_the_example_in_type_sheets_is_a_sheet_and_names_every_key() -> None:
    from tickover.sheets import TypeSheet, load_sheet

    document = (ROOT / "docs" / "type-sheets.md").read_text()
    sheet = load_sheet("\n".join(re.findall(r"^```toml\n(.*?)^```", document, re.M | re.S)), "type-sheets.md")
    used, aside = sheet.kit_for_build("diaphragm-kit", "inner")
    assert [len(used), len(aside)] == [3, 1]
    keys = set(re.findall(r'"([a-z_]+)": ?\{', str(TypeSheet.model_json_schema()).replace("'", '"')))
    assert {k for k in keys if "_" in k or k == "builds"} <= set(re.findall(r"\b[a-z_]+\b", document))


def test_the_thresholds_and_the_example_in_calculations_and_sources_are_those_of_the_code() -> None:
    from tickover.science.engine_time.from_log import BY_SPEED, CHANNELS
    from tickover.science.measurement.conformity import decide

    document = (ROOT / "docs" / "calculations-and-sources.md").read_text()
    rows = re.findall(r"^\| (?:RPM|MOP|ground).*$", document, re.M)
    told = [[float(n) for n in re.findall(r"(?<=\| )\d+(?:\.\d+)?(?= s? ?\|)", row)] for row in rows]
    limits = [(channel.thresholds, channel.code) for channel in (*CHANNELS, BY_SPEED)]
    held = {code: [v for v in vars(t).values() if v] for t, code in limits}
    assert told == [held["RPM"], held["ENL"], held["speed"]]
    assert held["MOP"] == held["ENL"]

    verdicts = [decide(x, 1.2, 1.6, resolution=0.02, expanded_uncertainty=0.05) for x in (1.22, 1.25)]
    assert [v.decision for v in verdicts] == ["cannot tell", "inside"]
    words = [
        f"= {verdicts[0].standard_uncertainty:.4f} mm",
        *(f"$P$ = {v.probability_inside:.2f}" for v in verdicts),
    ]
    assert [word for word in words if word not in document] == []


def test_every_write_locks_the_journal_before_it_checks() -> None:
    """A check before the lock is out of date when it is acted on: `journal.locked()` is the only transaction."""
    workshop = ROOT / "src" / "tickover" / "workshop"
    written = [p for p in workshop.rglob("*.py") if p != workshop / "kernel" / "actions.py"]
    loose = [relative(p) for p in written if "transaction.atomic" in p.read_text()]
    assert loose == [], "use journal.locked() in place of transaction.atomic"


READS_ANY_FORM = {
    "middleware.py": "refuses what no form may hold",
    "idempotency_middleware.py": "keeps whatever was typed through the sign-in page, and the key of every form",
    "rejection.py": "gives back the words of whichever form was refused",
    "calculations/views.py": "a calculation reads the fields that it names itself",
}


def test_what_was_sent_is_read_by_forms() -> None:
    """A view gives `request.POST` and `request.GET` to a form as they are, and looks up nothing in them."""
    web = ROOT / "src" / "tickover" / "workshop" / "web"
    asked = r"request\.(?:POST|GET)"
    looked_up = re.compile(rf"{asked}(?:\.|\[)|\bin {asked}\b|form in \({asked}")
    found = {str(p.relative_to(web)) for p in web.rglob("*.py") if looked_up.search(p.read_text())}
    assert found == set(READS_ANY_FORM)


def test_no_template_reads_what_was_sent() -> None:
    """What was typed comes back through a form or the context."""
    web = ROOT / "src" / "tickover" / "workshop" / "web"
    pages = list(web.rglob("*.html"))
    found = [str(p.relative_to(web)) for p in pages if re.search(r"request\.(POST|GET)", p.read_text())]
    assert len(pages) > 50 and found == []


DECIDING = (ast.If, ast.IfExp, ast.Compare, ast.BoolOp, ast.Not)
RIGHT_OF_THE_READER = {("photo_lines.py", "photos")}
"""Draws the camera for whoever may record work: the person's right, asked where the section is used."""


def decides(function: ast.FunctionDef) -> bool:
    """Whether a function chooses, compares or leaves out. The body alone: annotations and defaults say nothing."""
    inside = [node for line in function.body for node in ast.walk(line)]
    return any(isinstance(n, DECIDING) or (isinstance(n, ast.comprehension) and n.ifs) for n in inside)


def test_no_filter_or_tag_of_a_page_hides_or_judges() -> None:
    """They look up and print; what is due, done or inside is said by queries."""
    folders = (ROOT / "src").rglob("templatetags")
    files = [p for folder in folders for p in folder.glob("*.py")]
    found = {
        (p.name, node.name)
        for p in files
        for node in ast.walk(ast.parse(p.read_text()))
        if isinstance(node, ast.FunctionDef) and decides(node)
    }
    assert len(files) > 5 and found == RIGHT_OF_THE_READER


def test_no_line_of_a_template_is_too_long_to_read() -> None:
    templates = sorted((ROOT / "src").rglob("*.html"))
    long = [
        (relative(p), n)
        for p in templates
        for n, line in enumerate(p.read_text().splitlines(), 1)
        if len(line) > 200
    ]
    assert templates and long == []


def test_a_class_name_means_one_thing_in_the_whole_program() -> None:
    """Classes inside another, such as Django's Meta, and the Migration of each migration are left out."""
    places: dict[str, list[str]] = {}
    for path in (p for p in SOURCES if p.parent.name != "migrations"):
        for node in ast.parse(path.read_text()).body:
            if isinstance(node, ast.ClassDef):
                places.setdefault(node.name, []).append(relative(path))
    assert {name: where for name, where in places.items() if len(where) > 1} == {}
