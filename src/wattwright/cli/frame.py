"""``wattwright frame …``: where stacks go on a bicycle: how many fit, drawn and marked out."""

import typer

from wattwright.cli.frame_drawings import draw_command, template_command
from wattwright.cli.frame_fit import fit_command

app = typer.Typer(name="frame", no_args_is_help=True, help="Where stacks go on a bicycle.")
app.command("fit")(fit_command)
app.command("draw")(draw_command)
app.command("template")(template_command)
