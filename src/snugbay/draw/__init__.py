"""Room draw: one renderer for screen and print. Scenes first, then SVG; DXF and glTF of the pieces."""

from typing import TYPE_CHECKING

from snugbay.base.late import late

if TYPE_CHECKING:
    from snugbay.draw.charts import frontier_chart, heat_bars, hours_bars, spread_bars, tornado_bars
    from snugbay.draw.cold import cold_spots
    from snugbay.draw.dxf import pieces_dxf
    from snugbay.draw.exploded import exploded, step_drawing
    from snugbay.draw.face import SketchPage, face_sketch
    from snugbay.draw.glb import model_glb
    from snugbay.draw.looks import ink_sheet, ink_variables, style_sheet
    from snugbay.draw.overview import pieces_overview
    from snugbay.draw.piece import Card, piece_drawing
    from snugbay.draw.proof import forecast_bar, resistance_bars
    from snugbay.draw.scene import Anchor, Area, Disc, Group, Item, Scene, Stroke, Text
    from snugbay.draw.sheet import SheetPage, part_drawings, sheet_drawing
    from snugbay.draw.svg import Medium, to_svg
    from snugbay.draw.symbols import Format

__all__ = [
    "Anchor",
    "Area",
    "Card",
    "Disc",
    "Format",
    "Group",
    "Item",
    "Medium",
    "Scene",
    "SheetPage",
    "SketchPage",
    "Stroke",
    "Text",
    "cold_spots",
    "exploded",
    "face_sketch",
    "forecast_bar",
    "frontier_chart",
    "heat_bars",
    "hours_bars",
    "ink_sheet",
    "ink_variables",
    "model_glb",
    "part_drawings",
    "piece_drawing",
    "pieces_dxf",
    "pieces_overview",
    "resistance_bars",
    "sheet_drawing",
    "spread_bars",
    "step_drawing",
    "style_sheet",
    "to_svg",
    "tornado_bars",
]

__getattr__ = late(
    __name__,
    {
        "charts": ("frontier_chart", "heat_bars", "hours_bars", "spread_bars", "tornado_bars"),
        "cold": ("cold_spots",),
        "dxf": ("pieces_dxf",),
        "exploded": ("exploded", "step_drawing"),
        "face": ("SketchPage", "face_sketch"),
        "glb": ("model_glb",),
        "looks": ("ink_sheet", "ink_variables", "style_sheet"),
        "overview": ("pieces_overview",),
        "piece": ("Card", "piece_drawing"),
        "proof": ("forecast_bar", "resistance_bars"),
        "scene": ("Anchor", "Area", "Disc", "Group", "Item", "Scene", "Stroke", "Text"),
        "sheet": ("SheetPage", "part_drawings", "sheet_drawing"),
        "svg": ("Medium", "to_svg"),
        "symbols": ("Format",),
    },
)
