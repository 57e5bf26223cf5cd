"""Draw the README's picture from the demo: ``.venv/bin/python scripts/pictures.py``."""

from pathlib import Path
from typing import Final

from wattwright.documents.drawing import render
from wattwright.documents.palette import LIGHT
from wattwright.documents.window_drawing import window_picture
from wattwright.files.catalogue_file import demo_folder, load_catalogue
from wattwright.files.job_file import read_job
from wattwright.workflow.plan_job import plan_job

PICTURES: Final = Path(__file__).resolve().parent.parent / "docs" / "pictures"
SHOWN_JOB: Final = "mixte.toml"


def window_of(job_file: Path) -> str:
    """The window of a job, on paper, so that it can be read on a dark page as well."""
    plan = plan_job(read_job(job_file), job_file.parent, load_catalogue(own=()), alternatives=False)
    return render(window_picture(plan.window, chosen=plan.chosen, shown=plan.shown), ground=LIGHT.paper)


if __name__ == "__main__":
    (PICTURES / "window.svg").write_text(window_of(demo_folder() / SHOWN_JOB), encoding="utf-8")
    print("wrote docs/pictures/window.svg")
