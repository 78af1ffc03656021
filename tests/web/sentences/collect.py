"""Every sentence that a person may read, listed from templates, scripts and modules into one file.

Run ``python -m tests.web.sentences.collect`` after a change of words. It writes ``.docs/sentences.txt``, to
be read as a whole. “…” stands for a value. Code, and what programs alone read, is left out.
"""

import ast
import html
import re
from collections.abc import Iterator
from pathlib import Path

from jinja2 import Environment

ROOT = Path(__file__).parents[3]
FILE = ROOT / ".docs" / "sentences.txt"
VALUE = "…"
PACKAGES = ("web", "advice", "model", "imports", "commands")
NO_WORDS = (
    "imports/vocabulary",
    "imports/prose",
    "imports/gel_layouts/columns",
    "imports/spectra/columns",
    "web/access/headers",
)
"""Modules of words that are understood, and never said."""
_BLOCK = re.compile(
    r"</?(?:p|li|ul|ol|h\d|div|td|th|tr|table|tbody|thead|label|summary|details|button|option|select|form|nav"
    r"|section|fieldset|legend|text|svg|dt|dd|dl|main|figure|figcaption|br|title|caption|input|textarea)\b[^<>]*>"
)
_SAID_BY_ATTRIBUTES = re.compile(r'\b(?:aria-label|placeholder|title|alt|data-words|content)="([^"]*)"')
_CODE = re.compile(
    r"[\\^]|\(\?|%[sd]|^\W*(?:SELECT|INSERT|UPDATE|DELETE|CREATE|WITH|PRAGMA|BEGIN|ALTER|FROM) "
)
_WORD = re.compile(r"[^\W\d_]{2,}")


def listed() -> str:
    """Return the whole file: a heading for each place, then its sentences in their order, each once."""
    parts = ["What the advisor says, as `python -m tests.web.sentences.collect` finds it."]
    for place, said in everything():
        parts.append(f"## {place}\n\n" + "\n".join(f"- {one}" for one in said))
    return "\n\n".join(parts) + "\n"


def everything() -> Iterator[tuple[str, list[str]]]:
    """Yield each place that says something, with its sentences in their order, each once."""
    for path in sorted((ROOT / "templates").rglob("*.html")):
        yield from _some(path, of_template(path.read_text(encoding="utf-8")))
    for path in sorted((ROOT / "static").rglob("*.js")):
        yield from _some(path, of_script(path.read_text(encoding="utf-8")))
    for package in PACKAGES:
        for path in sorted((ROOT / "advisor" / package).rglob("*.py")):
            if not any(name in path.as_posix() for name in NO_WORDS):
                yield from _some(path, of_module(path.read_text(encoding="utf-8")))


def _some(path: Path, said: list[str]) -> Iterator[tuple[str, list[str]]]:
    if said:
        yield path.relative_to(ROOT).as_posix(), list(dict.fromkeys(said))


def of_template(source: str) -> list[str]:
    """Return what a template says: its text, what attributes say aloud, and texts that it hands to macros."""
    text, strings = "", []
    inside = ""
    for _, kind, value in Environment().lex(source):
        if kind in ("variable_begin", "block_begin"):
            inside = kind
            text += VALUE if kind == "variable_begin" else "\n" if _on_its_own(text) else ""
        elif kind in ("variable_end", "block_end"):
            inside = ""
        elif kind == "data":
            text += value
        elif kind == "string" and inside:
            strings.append(value[1:-1])
    aloud = _SAID_BY_ATTRIBUTES.findall(text)
    text = re.sub(r"<(?:script|style)\b.*?</(?:script|style)>", "", text, flags=re.DOTALL)
    lines = re.sub(r"<[^<>]*>", "", _BLOCK.sub("\n\n", text)).split("\n\n")
    shown = [s for s in strings if (" " in s or s[:1].isupper()) and _says(s) and "/" not in s[:8]]
    return [one for one in map(_tidy, [*lines, *aloud, *shown]) if _says(one)]


def _on_its_own(text: str) -> bool:
    """Whether a block stands on a line of its own: one within a line goes on with its sentence."""
    return text.endswith(("\n", "> ")) or not text.rsplit("\n", 1)[-1].strip()


def of_script(source: str) -> list[str]:
    """Return what a script says: strings that begin as a sentence does, or hold several words."""
    code = re.sub(r"(?m)(?:^|\s)//.*$", "", source)
    found = re.findall(r'"((?:[^"\\\n]|\\.)*)"|`([^`]*)`', code)
    said = [re.sub(r"\$\{[^{}]*\}", VALUE, a or b) for a, b in found]
    return [one for one in map(_tidy, said) if re.match(r"[A-Z…]", one) and " " in one and _says(one)]


def of_module(source: str) -> list[str]:
    """Return what a module says: its texts of several words, without docstrings and patterns."""
    tree = ast.parse(source)
    skipped = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    said: list[str] = []

    def walk(node: ast.AST) -> None:
        if id(node) in skipped:
            return
        if isinstance(node, ast.JoinedStr):
            said.append("".join(p.value if isinstance(p, ast.Constant) else VALUE for p in node.values))
            for part in node.values:
                if isinstance(part, ast.FormattedValue):
                    walk(part.value)
            return
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            said.append(node.value)
        for child in ast.iter_child_nodes(node):
            walk(child)

    walk(tree)
    tidy = [_tidy(one) for one in said if not _CODE.search(one)]
    return [one for one in tidy if " " in one.replace("\N{NO-BREAK SPACE}", " ") and _says(one)]


def _tidy(text: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(text)).strip()


def _says(text: str) -> bool:
    return len(_WORD.findall(text)) > 0 and not re.fullmatch(r"[a-z]+(?:[-_.:/][a-z]+)*", text)


if __name__ == "__main__":
    FILE.write_text(listed(), encoding="utf-8")
