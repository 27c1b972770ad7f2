"""What a proof takes for granted where the contract says nothing: every such value with its unit and its meaning."""

from typing import Final

from mainwright.prove.acceptance import SHARE
from mainwright.prove.agreement import APART, BATCH, GAUGE, SCAN
from mainwright.prove.camera import SHORT
from mainwright.prove.connections import CLOCKS, NEAR
from mainwright.prove.defects import LONGEST_PATCH, NEAR_EVENT, OFF, REACH
from mainwright.prove.thickness import SILENT, TIMES_USUAL
from mainwright.standards.source import Assumed
from mainwright.units import from_si
from mainwright.words.message import message

__all__ = ["ASSUMED"]

ASSUMED: Final = (
    Assumed(
        "proof.share",
        SHARE,
        "-",
        message("Share of the interior that readings must show over the minimum: an assumption, the contract may say otherwise."),
    ),
    Assumed(
        "proof.near_m",
        NEAR,
        "m",
        message("A connection that was seen without its name is taken for the listed one within this length: an assumption."),
    ),
    Assumed(
        "proof.near_hours_of_clock",
        CLOCKS,
        "h",
        message("So far round the clock, in its hours, two sights of a connection are still the same one: an assumption."),
    ),
    Assumed("proof.batch_deviation", BATCH, "-", message("Deviation of what was batched, relative: an assumption.")),
    Assumed("proof.scan_mm", from_si(SCAN, "mm"), "mm", message("Deviation of the mean by two ring scans: an assumption.")),
    Assumed("proof.gauge_mm", from_si(GAUGE, "mm"), "mm", message("Deviation of one gauge that all its readings share: an assumption.")),
    Assumed(
        "proof.apart_deviations",
        APART,
        "-",
        message("Two kinds of evidence differ where they lie more than so many common deviations apart: an assumption."),
    ),
    Assumed("proof.patch_reach_m", REACH, "m", message("So far from an opening mortar can be patched by hand: an assumption.")),
    Assumed(
        "proof.longest_patch_m", LONGEST_PATCH, "m", message("A longer thin length is coated again, not patched by hand: an assumption.")
    ),
    Assumed("proof.near_event_m", NEAR_EVENT, "m", message("An event within this length may be the cause of a defect: an assumption.")),
    Assumed(
        "proof.off_plan",
        OFF,
        "-",
        message("Flow or speed so far from the plan, relative, is told as the cause of a defect: an assumption."),
    ),
    Assumed("proof.camera_short_m", SHORT, "m", message("A camera pass that ends so far from an end of the run is told: an assumption.")),
    Assumed("proof.pause_s", SILENT, "s", message("A pause between readings that is no gap yet, however often they come: an assumption.")),
    Assumed(
        "proof.pause_times_usual",
        TIMES_USUAL,
        "-",
        message("A pause so many times the usual one between readings is a gap: an assumption."),
    ),
)
"""In the order in which papers show them."""
