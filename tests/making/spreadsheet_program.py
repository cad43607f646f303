"""A spreadsheet program that opens a file and saves it again, where one is installed: LibreOffice, without a window."""

import shutil
import subprocess
from pathlib import Path

PROGRAM = shutil.which("soffice") or shutil.which("libreoffice")
LIMIT = 240  # seconds
FLAT = "fods"  # the whole spreadsheet as one text, in which a cell can be corrected


def saved_again(files: list[Path], kind: str, into: Path) -> list[Path]:
    """The same spreadsheets as the program saves them; kind: the ending of the new files."""
    into.mkdir(parents=True, exist_ok=True)
    own = (into / "profile").as_uri()  # so that no setting of whoever runs it counts
    command = [
        str(PROGRAM),
        f"-env:UserInstallation={own}",
        "--headless",
        "--norestore",
        "--convert-to",
        kind,
    ]
    done = subprocess.run(
        [*command, "--outdir", str(into), *map(str, files)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=LIMIT,
        check=False,
    )
    made = [into / f"{file.stem}.{kind}" for file in files]
    assert all(file.exists() for file in made), done.stdout + done.stderr
    return made


def corrected(file: Path, kind: str, into: Path, old: str, new: str) -> Path:
    """A spreadsheet as the program saves it after something in it was written otherwise, once."""
    [flat] = saved_again([file], FLAT, into)
    text = flat.read_text("utf-8")
    assert text.count(old) == 1, f"{old} stands there {text.count(old)} times"
    flat.write_text(text.replace(old, new), "utf-8")
    [made] = saved_again([flat], kind, into)
    return made
