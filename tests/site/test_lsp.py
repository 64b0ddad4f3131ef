"""The language server, driven over standard input and output as an editor does it."""

import asyncio
import sys
from pathlib import Path

import pytest
from lsprotocol import types
from pygls.lsp.client import LanguageClient
from wareboard.text.projects import read_project

from tests.demo import texts_of_demo
from tests.slips import BEAKER, SEEDED

FORM = "specs/forms/tall-beaker.yaml"


@pytest.fixture
def folder(tmp_path):
    for path, text in texts_of_demo().items():
        if path.startswith(("specs/forms/", "specs/runs/", "specs/orders/")):
            continue
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_text(text, encoding="utf-8")
    form = tmp_path / FORM
    form.parent.mkdir()
    form.write_text(BEAKER, encoding="utf-8")
    return tmp_path


class Editor:
    """A small editor: opens one form and remembers what it was told of it last."""

    def __init__(self, folder: Path):
        self.folder, self.uri = folder, (folder / FORM).as_uri()
        self.client = LanguageClient("editor", "1")
        self.told: asyncio.Queue = asyncio.Queue()
        self.version = 0

        @self.client.feature(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
        def published(params: types.PublishDiagnosticsParams) -> None:
            if params.uri == self.uri:
                self.told.put_nowait(params.diagnostics)

    async def open(self) -> list[types.Diagnostic]:
        await self.client.start_io(sys.executable, "-m", "wareboard", "lsp")
        await self.client.initialize_async(
            types.InitializeParams(capabilities=types.ClientCapabilities(), root_uri=self.folder.as_uri())
        )
        self.client.initialized(types.InitializedParams())
        self.client.text_document_did_open(
            types.DidOpenTextDocumentParams(types.TextDocumentItem(self.uri, "yaml", 0, BEAKER))
        )
        return await asyncio.wait_for(self.told.get(), 60)

    async def type(self, text: str) -> list[types.Diagnostic]:
        self.version += 1
        self.client.text_document_did_change(
            types.DidChangeTextDocumentParams(
                types.VersionedTextDocumentIdentifier(self.version, self.uri),
                [types.TextDocumentContentChangeWholeDocument(text)],
            )
        )
        return await asyncio.wait_for(self.told.get(), 60)

    async def complete(self, text: str, line: int, column: int) -> list[str]:
        await self.type(text)
        found = await self.client.text_document_completion_async(
            types.CompletionParams(types.TextDocumentIdentifier(self.uri), types.Position(line, column))
        )
        return [one.label for one in found]

    async def close(self) -> None:
        await self.client.shutdown_async(None)
        self.client.exit(None)
        await self.client.stop()


def with_editor(folder, work):
    async def run():
        editor = Editor(folder)
        try:
            await work(editor, await editor.open())
        finally:
            await editor.close()

    asyncio.run(run())


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_every_seeded_mistake_is_told_where_it_stands_and_goes_when_it_is_mended(folder):
    async def work(editor, first):
        assert not [told for told in first if told.severity == types.DiagnosticSeverity.Error]
        for sound, mistaken in SEEDED:
            assert BEAKER.count(sound) >= 1, sound
            told = await editor.type(BEAKER.replace(sound, mistaken, 1))
            errors = [one for one in told if one.severity == types.DiagnosticSeverity.Error]
            assert errors, mistaken
            line = BEAKER[: BEAKER.index(sound)].count("\n")
            assert any(abs(one.range.start.line - line) <= 1 for one in errors), (mistaken, errors)
            assert all(one.code and one.source == "wareboard" for one in errors)
            assert not [one for one in await editor.type(BEAKER) if one.severity == types.DiagnosticSeverity.Error]

    with_editor(folder, work)


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_completion_hover_and_mends(folder):
    async def work(editor, _):
        lines = BEAKER.split("\n")
        assert {"millpond-buff", "quarry-brown"} <= set(await editor.complete(BEAKER, 2, len("clay: ")))
        assert {"foot", "bevel", "rim"} <= set(await editor.complete(BEAKER, 15, len("    fill_to: ")))
        typing = BEAKER.replace("    wall: 4\n", "    wa\n")
        assert "wall" in await editor.complete(typing, 13, len("    wa"))
        inside = BEAKER.replace("{height: 120, diameter: 80}", "{height: 120, dia")
        assert "diameter" in await editor.complete(inside, 11, len("      rim: {height: 120, dia"))

        await editor.type(BEAKER)
        hovered = await editor.client.text_document_hover_async(
            types.HoverParams(types.TextDocumentIdentifier(editor.uri), types.Position(11, lines[11].index("diameter")))
        )
        said = hovered.contents.value
        assert "cup.rim.diameter: wet " in said and "fired 80.0 mm" in said and "**diameter**: across" in said

        told = await editor.type(BEAKER.replace("clay: millpond-buff", "clay: milpond-buff"))
        actions = await editor.client.text_document_code_action_async(
            types.CodeActionParams(
                types.TextDocumentIdentifier(editor.uri), told[0].range, types.CodeActionContext(diagnostics=told)
            )
        )
        (edit,) = actions[0].edit.changes[editor.uri]
        assert edit.new_text == "millpond-buff" and edit.range.start.line == 2

    with_editor(folder, work)


def test_a_form_in_braces_is_one_of_the_studios():
    from wareboard.commands import editing

    project = read_project(texts_of_demo())
    for text in ("title: May\nlines:\n  - {form: ", "title: May\nlines: [{form: ", "title: May\nlines:\n  - form: "):
        line = text.count("\n")
        column = len(text.split("\n")[-1])
        found = editing.suggestions(project, "specs/orders/may.yaml", text, line, column)
        assert {"tea-caddy", "tall-beaker"} <= {one.text for one in found}, text
        assert {one.start for one in found} == {column}
    keys = editing.suggestions(project, "specs/orders/may.yaml", "lines:\n  - {form: tea-caddy, ", 1, 23)
    assert "sets: " in {one.text for one in keys}
