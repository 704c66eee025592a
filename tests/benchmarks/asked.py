"""How many cases a benchmark was asked for on the command line."""

from argparse import ArgumentParser


def cases_asked(usual: int) -> int:
    """The number after --cases, else the usual one."""
    parser = ArgumentParser()
    parser.add_argument("--cases", type=int, default=usual)
    return int(parser.parse_args().cases)
