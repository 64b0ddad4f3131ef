"""What a printed PDF says of its own structure."""


def structure_of(document) -> tuple[list[str | None], list[str]]:
    """The kinds of a tagged PDF's elements (`/H1`, `/Table`, …) and their alternative texts, in reading order."""
    kinds, said = [], []

    def walk(node, depth=0):
        node = node.get_object()
        if isinstance(node, list):
            for child in node:
                walk(child, depth)
        elif isinstance(node, dict) and depth < 40:
            kinds.append(node.get("/S"))
            said.append(str(node.get("/Alt", "")))
            if "/K" in node:
                walk(node["/K"], depth + 1)

    walk(document.trailer["/Root"]["/StructTreeRoot"]["/K"])
    return kinds, said
