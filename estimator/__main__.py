"""`python -m estimator`, and the command `estimator`."""

import sys
from pathlib import Path


def main() -> None:
    """Run the command that was asked for; stopped at any time it says so in a line."""
    from estimator.cli import STOPPED, STOPPED_CODE

    try:
        from estimator.cli.commands import main as run

        run()
    except KeyboardInterrupt:
        sys.stderr.write(f"\n{STOPPED}\n")
        sys.exit(STOPPED_CODE)


if __name__ == "__main__":
    # `python -m` looks for modules in the current folder first: Python files that lie in a workshop are not ours
    here, ours = Path(sys.path[0] or ".").resolve(), Path(__file__).resolve().parents[1]
    if here == Path.cwd() and here != ours:
        del sys.path[0]
    main()
