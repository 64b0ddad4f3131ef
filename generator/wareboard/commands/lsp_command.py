"""The command `wareboard lsp`: a language server, so that an editor says what `check` says while a spec is typed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from pygls.lsp.server import LanguageServer


@click.command(short_help="Tell an editor what is wrong, what fits and what it comes to, as you type.")
def lsp() -> None:
    """Serve an editor over standard input and output, by the Language Server Protocol.

    An editor that knows the protocol starts this by itself: name `wareboard lsp` as the server for the YAML files
    under specs/. It is told every message of `check` as you type, the studio's own names to choose from, what a line
    comes to when wet, and mends where a message has one.
    """
    try:
        server = make_server()
    except ImportError as fault:
        raise click.ClickException("this needs one more package: pip install 'wareboard[editor]'") from fault
    server.start_io()


def make_server() -> LanguageServer:
    """The server, not running yet. Raises: ImportError, the package `pygls` is not there."""
    from lsprotocol import types
    from pygls.lsp.server import LanguageServer

    from wareboard import __version__
    from wareboard.commands import editing
    from wareboard.output import folder
    from wareboard.output.working import Worked, work_out
    from wareboard.text.problems import ERROR

    server = LanguageServer("wareboard", __version__, text_document_sync_kind=types.TextDocumentSyncKind.Full)
    memories: dict[Path, folder.Memory] = {}
    known: dict[Path, Worked] = {}

    def place_of(uri: str) -> tuple[Path, str] | None:
        """The maker's folder and the path below it, of a file that stands under `specs/`."""
        path = Path(server.workspace.get_text_document(uri).path)
        root = next((parent.parent for parent in path.parents if parent.name == folder.SPECS), None)
        return (root, path.relative_to(root).as_posix()) if root else None

    def open_texts(root: Path) -> dict[str, str]:
        """What is being typed of the folder's files, which is not on the disk yet."""
        typed = {}
        for uri, document in server.workspace.text_documents.items():
            placed = place_of(uri)
            if placed and placed[0] == root and editing.kind_of(placed[1]):
                typed[placed[1]] = document.source
        return typed

    def look_over(uri: str) -> None:
        placed = place_of(uri)
        if placed is None:
            return
        root = placed[0]
        before = known.get(root)
        worked = known[root] = work_out(root, memories.setdefault(root, folder.Memory()), open_texts(root))
        files = {problem.at.file for problem in worked.problems} | {placed[1]}
        files |= {problem.at.file for problem in before.problems} if before else set()
        for file in files:
            told = [diagnostic(problem) for problem in worked.problems if problem.at.file == file]
            server.text_document_publish_diagnostics(
                types.PublishDiagnosticsParams(uri=(root / file).as_uri(), diagnostics=told)
            )

    def diagnostic(problem: Any) -> types.Diagnostic:
        start = types.Position(problem.at.line - 1, problem.at.column - 1)
        end = types.Position(problem.at.line - 1, problem.at.column - 1 + problem.at.width)
        severity = types.DiagnosticSeverity.Error if problem.level == ERROR else types.DiagnosticSeverity.Warning
        said = problem.message + (f"\n{problem.hint}" if problem.hint else "")
        return types.Diagnostic(types.Range(start, end), said, severity=severity, code=problem.rule, source="wareboard")

    @server.feature(types.TEXT_DOCUMENT_DID_OPEN)
    def opened(params: types.DidOpenTextDocumentParams) -> None:
        look_over(params.text_document.uri)

    @server.feature(types.TEXT_DOCUMENT_DID_CHANGE)
    def changed(params: types.DidChangeTextDocumentParams) -> None:
        look_over(params.text_document.uri)

    @server.feature(types.TEXT_DOCUMENT_DID_SAVE)
    def saved(params: types.DidSaveTextDocumentParams) -> None:
        look_over(params.text_document.uri)

    @server.feature(
        types.TEXT_DOCUMENT_COMPLETION, types.CompletionOptions(trigger_characters=[" ", ":", "{", ",", "/", "."])
    )
    def complete(params: types.CompletionParams) -> list[types.CompletionItem]:
        placed = place_of(params.text_document.uri)
        if placed is None or placed[0] not in known:
            return []
        text = server.workspace.get_text_document(params.text_document.uri).source
        line, column = params.position.line, params.position.character
        found = editing.suggestions(known[placed[0]].project, placed[1], text, line, column)
        return [
            types.CompletionItem(
                label=one.text.strip().removesuffix(":"), detail=one.detail,
                text_edit=types.TextEdit(types.Range(types.Position(line, one.start), params.position), one.text),
            )
            for one in found
        ]  # fmt: skip

    @server.feature(types.TEXT_DOCUMENT_HOVER)
    def hovered(params: types.HoverParams) -> types.Hover | None:
        placed = place_of(params.text_document.uri)
        if placed is None or placed[0] not in known:
            return None
        worked = known[placed[0]]
        text = server.workspace.get_text_document(params.text_document.uri).source
        said = editing.hover(
            worked.project, worked.sheets.get(Path(placed[1]).stem) if placed[1].startswith("specs/forms/") else None,
            placed[1], text, params.position.line, params.position.character,
        )  # fmt: skip
        return types.Hover(types.MarkupContent(types.MarkupKind.Markdown, said)) if said else None

    @server.feature(types.TEXT_DOCUMENT_CODE_ACTION, types.CodeActionOptions([types.CodeActionKind.QuickFix]))
    def mended(params: types.CodeActionParams) -> list[types.CodeAction]:
        placed = place_of(params.text_document.uri)
        if placed is None or placed[0] not in known:
            return []
        text = server.workspace.get_text_document(params.text_document.uri).source
        first, last = params.range.start.line, params.range.end.line
        here = [
            problem
            for problem in known[placed[0]].problems
            if problem.at.file == placed[1] and first <= problem.at.line - 1 <= last
        ]
        return [
            types.CodeAction(
                mend.title, kind=types.CodeActionKind.QuickFix, diagnostics=[diagnostic(problem)],
                edit=types.WorkspaceEdit(changes={params.text_document.uri: [types.TextEdit(
                    types.Range(types.Position(mend.line, mend.start), types.Position(mend.line, mend.end)), mend.text
                )]}),
            )
            for problem in here for mend in editing.mends_of(problem, text)
        ]  # fmt: skip

    return server
