"""A small sound job folder that tests spoil."""

from typing import Final

__all__ = ["FILES"]

_JOB: Final = """\
[job]
name = "Wharf main"
reference = "CW-07"
client = "Marrowby Waterworks"
currency = "EUR"
units = "metric"
language = "en"
first_day = 2026-04-13
time_zone = "Europe/Berlin"

[lining]
governing_document = "Own specification, 2nd edition"
nominal_mm = 6.0
minimum_mm = 5.0
mean_minimum_mm = 5.5
maximum_mm = 9.0
single_coat_max_mm = 15.0
crack_limit_mm = 0.8
finish = "as_sprayed"
confidence = 0.95
by_dn = [
    { dn_from = 80, dn_to = 125, material = "grey_iron", nominal_mm = 4.0, minimum_mm = 3.0, mean_minimum_mm = 3.5 },
]

[runs]
max_length_m = 180.0
max_bend_deg = 22.5

[mortar]
sand_per_cement = 1.0
mortar_c = 15.0
wall_c = 10.0

[shift]
start = "07:30"
hours = 9.5

[acceptance]
evidence = ["consumption", "end_readings"]
readings_per_end = 4
strength_mpa = 30.0
strength_days = 28.0

[curing]
fill_hours = 24.0

[test]
rule = "own"
pressure_bar = 6.0

[supply]
pressure_min_bar = 1.5
sides = "both"
fire_l_s = 13.0
"""

_PLANT: Final = """\
[[pump]]
name = "P1"
flow_l_min = 30.0
pressure_max_bar = 40.0
points = [[20.0, 10.1], [40.0, 20.3], [60.0, 30.2], [80.0, 40.4]]
tested_through_hose = true

[[pump]]
name = "P2"
flow_l_min = 20.0

[[hose]]
name = "H1"
length_m = 180.0
dead_length_m = 12.0
bore_mm = 38.0
pressure_max_bar = 40.0

[[lining_head]]
name = "A"
dn_from = 80
dn_to = 400
kind = "winched"
speed_max_m_min = 12.0
bend_max_deg = 22.5
trowel_m = 0.4

[[rope]]
name = "R1"
length_m = 400.0
breaking_kn = 80.0
safety = 5.0

[[mixer]]
name = "M1"
batch_l = 240.0
cycle_minutes = 6.0
hopper_l = 300.0

[[supply_pipe]]
name = "63"
bore_mm = 51.4
roughness_mm = 0.02
stock_m = 600.0
price_m = 6.5

[crew]
clearing_per_hour = 12.0

[mortar_flow]
yield_stress_pa = 80.0
plastic_viscosity_pa_s = 1.0
"""

FILES: Final[dict[str, bytes]] = {
    name: text.encode()
    for name, text in {
        "job.toml": _JOB,
        "main.csv": """\
from_m,to_m,dn,material,bore_mm,bore_source,wall_mm,year,deposit_mm,deposit_kind,existing_lining,roughness_mm,joint_m,joint_type,flow_l_s,pressure_bar
0,120.5,150,grey_iron,152.4,caliper,10.5,1931,8,tubercles,,2.5,3.66,lead,6.5,4.2
120.5,300,200,steel,,,,1962,,,,,,,6.5,4.2
300,410,200,steel,204.2,record,,1962,,,,,,,6.5,4.2
""",
        "bore.csv": """\
chainage_m,bore_mm,clock,method,time,who
60,151.8,12,caliper,2026-04-13T07:05:00+02:00,AB
""",
        "features.csv": """\
chainage_m,kind,angle_deg,radius_mm,size_mm,opening,state,after,confidence,ref,note
0,end,,,,,,,recorded,,
40,bend,22.5,450,,,,keep,seen,B1,"near the wall, under the tree"
120.5,reducer,,,200,must,,replace,recorded,R1,
250,gate_valve,,,200,,lets_by,replace,recorded,V3,
410,end,,,,,,,recorded,,
""",
        "ground.csv": """\
from_m,to_m,surface,cover_m,dig,note
0,180,footway,1.2,yes,
180,195,railway,2.4,no,crossing
195,410,carriageway,1.1,yes,
""",
        "levels.csv": """\
chainage_m,ground_m,pipe_m
0,52.1,50.8
410,57.35,56.05
""",
        "services.csv": """\
chainage_m,side,clock,size_mm,material,dwellings,use,stop_tap,live,ref
12.5,left,9,25,lead,1,dwelling,holds,yes,S1
31,right,3,32,pe,4,school,,yes,S2
""",
        "feeds.csv": """\
chainage_m,side,kind,pressure_bar,level_m,flow_max_l_s,ref
5,left,hydrant,4.5,52.1,8,F1
""",
        "plant.toml": _PLANT,
        "water.toml": """\
[water]
temperature_c = 10.0
ph = 7.8
alkalinity_mmol_l = 0.48
calcium_mg_l = 9.5
""",
        "prices.csv": """\
item,unit,low,rate,high
opening_footway,each,900,1100,1500
set_up_run,each,,850,
""",
        "crews.csv": """\
crew,skill,count,first_day,last_day
A,lining,4,2026-04-13,2026-06-30
""",
        "outputs.csv": """\
activity,unit,low,rate,high
lining,m,150,220,300
""",
        "permits.csv": """\
ref,from_m,to_m,street,first_day,last_day,hours,overrun_first_days,overrun_first_rate,overrun_later_rate
P-1,0,195,Quay Street,2026-04-13,2026-05-15,09:30-15:30,3,500,2500
""",
        "calendar.csv": """\
day,kind,crew,note
2026-05-01,holiday,,
""",
    }.items()
}
"""Canonical files of a job of 410 m."""
