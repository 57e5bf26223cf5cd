"""``wattwright frame …``: where stacks go on a bicycle, drawn and marked out."""

import typer

from wattwright.cli.frame_drawings import draw_command, template_command

app = typer.Typer(name="frame", no_args_is_help=True, help="Where stacks go on a bicycle.")
app.command("draw")(draw_command)
app.command("template")(template_command)
