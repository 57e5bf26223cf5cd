"""Compiling ahead: the shortest ride there is makes the compiler fill its cache."""

from dataclasses import replace

from wattwright.files.catalogue_file import load_catalogue
from wattwright.workflow.phone_call import Call, job_from_call, plan_call


def warm_up() -> None:
    """Run the engine once, so that its compiled code stands in the cache."""
    call = Call(distance=1000.0, ascent=5.0)
    parts = load_catalogue()
    job = replace(job_from_call(call, "2026-01-01", parts), samples=128)
    plan_call(call, job, parts)
