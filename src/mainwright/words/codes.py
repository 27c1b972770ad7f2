"""English texts of the codes that stand in files: what a reader sees for ``grey_iron``."""

from types import MappingProxyType
from typing import Final

__all__ = ["CODE_TEXT"]

CODE_TEXT: Final = MappingProxyType(
    {
        # materials of the host pipe
        "grey_iron": "grey iron",
        "ductile_iron": "ductile iron",
        "steel": "steel",
        "asbestos_cement": "asbestos cement",
        "concrete": "concrete",
        "pvc": "PVC",
        "pe": "PE",
        "other": "other",
        # where a bore comes from
        "table": "table",
        "record": "record",
        "caliper": "caliper",
        "scan": "scan",
        # fittings
        "bend": "bend",
        "tee": "tee",
        "cross": "cross",
        "gate_valve": "gate valve",
        "butterfly_valve": "butterfly valve",
        "check_valve": "check valve",
        "air_valve": "air valve",
        "hydrant": "hydrant",
        "washout": "washout",
        "reducer": "reducer",
        "meter": "meter",
        "flange_adaptor": "flange adaptor",
        "repair_clamp": "repair clamp",
        "branch": "branch",
        "end": "end of the main",
        # states of a valve or a stop tap
        "holds": "holds",
        "lets_by": "lets by",
        "seized": "seized",
        "missing": "missing",
        # what becomes of a fitting, and how sure the record is
        "keep": "keep",
        "replace": "replace",
        "remove": "remove",
        "recorded": "recorded",
        "seen": "seen",
        "measured": "measured",
        # surfaces
        "verge": "verge",
        "footway": "footway",
        "carriageway": "carriageway",
        "main_road": "main road",
        "paved_square": "paved square",
        "railway": "railway",
        "watercourse": "watercourse",
        "private": "private ground",
        # connections
        "left": "left",
        "right": "right",
        "both": "both",
        "lead": "lead",
        "copper": "copper",
        "iron": "iron",
        "dwelling": "dwelling",
        "shop": "shop",
        "school": "school",
        "hospital": "hospital",
        "dialysis": "dialysis patient",
        "works": "works",
        "farm": "farm",
        "fire_line": "fire line",
        "neighbouring_main": "neighbouring main",
        "tanker": "tanker",
        # lining
        "as_sprayed": "as sprayed",
        "smoothed": "smoothed",
        "winched": "winched",
        "self_propelled": "self-propelled",
        "increasing": "towards greater chainage",
        "decreasing": "towards smaller chainage",
        # verdicts
        "suitable": "suitable",
        "with_measures": "with measures",
        "unsuitable": "unsuitable",
        "unknown": "not known",
        # severities
        "stop": "stop",
        "act": "act",
        "note": "note",
        # how a published value was come by
        "read": "read in the source",
        "secondary": "from a report of the source",
        "memory": "from memory, to be looked up",
        "practice": "common practice, no source",
        "derived": "derived here",
        # layouts
        "least_cost": "least cost",
        "fewest_openings": "fewest openings",
        "shortest_closing": "shortest closing",
        "readings": "readings",
        # limits of a run
        "opening": "something comes out here",
        "dn_change": "change of nominal size",
        "lining_head": "sizes of the lining heads",
        "bore_step": "step of bore",
        "max_bend": "sharpest bend",
        "max_bends_total": "bends in all",
        "max_length": "longest run",
        "hose_length": "reach of the hose",
        "rope_length": "length of the rope",
        "rope_pull": "pull of the rope",
        "hose_pressure": "pressure of the hose",
        "hose_residence": "time of the mortar in the hose",
        "connections": "connections to be cleared",
        "shift": "length of the shift",
        # units of the bill
        "each": "each",
        "day": "day",
        # evidence
        "consumption": "consumption of mortar",
        "end_readings": "readings at the ends",
        "camera": "camera",
        "camera_dry": "camera, without water in the pipe",
        "specimens": "specimens",
        "interior_readings": "readings of the interior",
    }
)
"""English text of each code, which is the key of the catalogues."""
