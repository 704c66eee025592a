"""What must come first: a circle in it is found here, without rows."""

from collections.abc import Collection, Mapping


def find_cycle(after: Mapping[int, Collection[int]]) -> list[int]:
    """Give the cards of a circle, each waiting for the next and the last for the first; empty where there is none.

    `after` names for each card those it waits for.
    """
    settled: set[int] = set()
    for start in sorted(after):
        path = [start]
        while path:
            if path[-1] in settled:
                path.pop()
                continue
            step = next((other for other in sorted(after.get(path[-1], ())) if other not in settled), None)
            if step is None:
                settled.add(path.pop())
            elif step in path:
                return path[path.index(step) :]
            else:
                path.append(step)
    return []
