"""Makes the mended twins of the demo jobs: the same file with each flaw put right. `--check` only compares."""

import re
import sys
from pathlib import Path

DEMOS = Path(__file__).resolve().parent.parent / "src" / "wetside" / "jobfile" / "demos"

_R2 = """# at 75/65/20
exponent = 1.33
water = "4.2 l"
mass = 24
length = 1.0
height = 0.6
depth = 100
wall = "north"
above_floor = """

# What is changed, once each: text in the demo, text in its mended twin.
CHANGES: dict[str, list[tuple[str, str]]] = {
    "net-loft": [
        ('name = "Net loft"', 'name = "Net loft, mended"'),
        ("# An invented job.", "# The mended twin: every rule holds. An invented job."),
        # the return main was left in 22 mm from the first floor down
        ('"tee first",\n  "down 90 mm", "tee east"', '"tee first", "tube copper 28",\n  "down 90 mm", "tee east"'),
        # a longer, taller panel in the study
        ('output = 600\nexponent = 1.33\nwater = "3.2 l"\nmass = 18\nlength = 1.0\nheight = 0.45',
         'output = 1000\nexponent = 1.33\nwater = "4.6 l"\nmass = 27\nlength = 1.0\nheight = 0.6'),
        ('volume = "8 l"', 'volume = "18 l"'),
        # lower flow temperature, and no more water than is asked for, so that the boiler condenses
        ("flow = 74\n", "flow = 67\n"),
        ("holds = 70\n", "holds = 64\n"),
        ("watts = 45\n", "speed = 0.5\nwatts = 8\n"),
        ("watts = 25\n", "speed = 0.46\nwatts = 6\n"),
        # a boiler that turns down further
        ('least = "5 kW"', 'least = "3.5 kW"'),
        # straight tube before the closely spaced tees
        ('"west 120 mm", "fit air separator", "west 260 mm"', '"west 130 mm", "fit air separator", "west 330 mm"'),
        ('"east to 8.79 m"', '"east to 8.71 m"'),
        ('"east 110 mm", "fit pressure gauge"', '"east 190 mm", "fit pressure gauge"'),
        # room for tube between the elbow and the valve below three radiators
        ('above_floor = 0.12\nflow_at = "left"        # seen', 'above_floor = 0.17\nflow_at = "left"        # seen'),
        (_R2 + "0.15", _R2 + "0.17"),
        ('length = 0.6\nheight = 0.6\ndepth = 100\nwall = "east"\nabove_floor = 0.15',
         'length = 0.6\nheight = 0.6\ndepth = 100\nwall = "east"\nabove_floor = 0.17'),
        # free tube where risers push on their bends
        ('"up 120 mm", "fit dirt separator", "up 350 mm"', '"up 400 mm", "fit dirt separator", "up 210 mm"'),
        ('"south 150 mm", "west to 7.25 m"', '"south 200 mm", "west to 7.25 m"'),
        ('"west to 5.75 m", "tee R2"', '"west to 5.55 m", "tee R2"'),
        ('"east to 7.05 m", "tee R2"', '"east to 7.30 m", "tee R2"'),
        ('"south to 5.45 m", "tee R3"', '"south to 5.75 m", "tee R3"'),
        ('"north to 4.55 m", "tee R3"', '"north to 4.45 m", "tee R3"'),
    ],
    "schoolhouse": [
        ('name = "Prairie schoolhouse"', 'name = "Prairie schoolhouse, mended"'),
        ("# An invented job in US units:", "# The mended twin: every rule holds. An invented job in US units:"),
        ('name = "supply"\ntube = "copper L 3/4"', 'name = "supply"\ntube = "copper L 1"'),
        ('name = "return"\ntube = "copper L 3/4"', 'name = "return"\ntube = "copper L 1"'),
        ('style = "4-tube"\nsections = 10\nlength = "20 in"\nheight = "20 in"\ndepth = 7',
         'style = "5-tube"\nsections = 10\nlength = "25 in"\nheight = "23 in"\ndepth = 8.5'),
        ('volume = "2 gal"', 'volume = "7 gal"'),
        # room for tube between the fittings below the boiler, and for the riser to grow
        ('"down 4 in", "fit air separator", "down to 2.55 ft"', '"down 5.5 in", "fit air separator", "down to 2.4 ft"'),
        ('"down 5.5 in", "fit system circulator", "down to 1.6 ft"',
         '"down 6 in", "fit system circulator", "down to 1.1 ft"'),
        ('"east to 33.5 ft", "tee fill"', '"east to 33.49 ft", "tee fill"'),
        ("at = [33.5, 1.6, 0.5]", "at = [33.49, 1.6, 0.5]"),
        # no more water than is asked for: a valve in the loop of baseboard, a slower circulator
        ('watts = "90 W"', 'speed = 0.82\nwatts = "50 W"'),
        ('[[item]]\nname = "zone valve 3"',
         '[[item]]\nname = "zone 2 balancing"\nkind = "balancing valve"\nopen_kv = 2\nkv = 1.34\n\n'
         '[[item]]\nname = "zone valve 3"'),
        ('"south ...", "up ..."]\nend = "return.Z2"',
         '"south ...", "up 10 in", "fit zone 2 balancing", "up ..."]\nend = "return.Z2"'),
        # a boiler that turns down further
        ('least = "20 MBH"', 'least = "15 MBH"'),
        ("[fill]\ncold",
         '[[support]]\nname = "by the zones"\nrun = "supply"\nkind = "hanger"\nalong = "4 ft"\n\n[fill]\ncold'),
    ],
}  # fmt: skip

# What each lockshield valve is set to: `wetside balance`, rounded.
VALVES: dict[str, dict[str, float]] = {
    "net-loft": {
        "R1": 1.2, "R2": 0.163, "R3": 0.248, "R4": 0.7, "R5": 0.124, "R6": 0.334, "R7": 0.392, "R8": 0.487, "R9": 0.109,
        "R10": 0.215,
    },
    "schoolhouse": {"A1": 1.18, "A2": 1.39, "A3": 1.38, "A4": 0.6, "A5": 0.6},
}  # fmt: skip


# The same for its variants, which say whole lists anew.
VARIANTS: dict[str, list[tuple[str, str]]] = {
    "net-loft/store-radiator.toml": [
        ('wall = "south"\nabove_floor = 0.15', 'wall = "south"\nabove_floor = 0.17'),
        ("lockshield_kv = 0.6\n",
         "lockshield_kv = 0.22\n\n# beside a warm store these rooms need less\n\n"
         '[[emitter]]\nname = "R2"\nlockshield_kv = 0.117\n\n'
         '[[emitter]]\nname = "R3"\nlockshield_kv = 0.132\n\n'
         '[[emitter]]\nname = "R6"\nlockshield_kv = 0.204\n\n'
         '[[circulator]]\nname = "heating circulator"\nspeed = 0.445\n'),
        ('"south to 5.45 m", "tee R3"', '"south to 5.75 m", "tee R3"'),
        ('"north to 4.55 m", "tee R3"', '"north to 4.45 m", "tee R3"'),
    ],
}  # fmt: skip


def mended(path: str, changes: list[tuple[str, str]]) -> str:
    """Text of a demo's file with its changes made."""
    text = (DEMOS / path).read_text(encoding="utf-8")
    for old, new in changes:
        if text.count(old) != 1:
            raise SystemExit(f"{path}: found {text.count(old)} times, not once: {old!r}")
        text = text.replace(old, new)
    return text


def valves_set(path: str, text: str, valves: dict[str, float]) -> str:
    """The text with the lockshield valve of each named emitter set."""
    for emitter, kv in valves.items():
        head, name, rest = text.partition(f'[[emitter]]\nname = "{emitter}"\n')
        own, mark, others = rest.partition("[[")
        own, count = re.subn(r"(?m)^lockshield_kv = .*$", f"lockshield_kv = {kv:g}", own)
        if count != 1:
            raise SystemExit(f"{path}: {emitter} has {count} lines lockshield_kv, not one")
        text = head + name + own + mark + others
    return text


def twins() -> dict[Path, str]:
    """Every file of the twins, with what it should hold."""
    made: dict[Path, str] = {}
    for name, changes in CHANGES.items():
        path = f"{name}/job.toml"
        made[DEMOS / f"{name}-mended/job.toml"] = valves_set(path, mended(path, changes), VALVES[name])
    for path, changes in VARIANTS.items():
        made[DEMOS / path.replace("/", "-mended/")] = mended(path, changes)
    return made


def main() -> int:
    stale = 0
    for path, text in twins().items():
        if "--check" in sys.argv:
            if not path.exists() or path.read_text(encoding="utf-8") != text:
                print(f"{path.parent.name}/{path.name} is not current: run tools/make_mended.py")
                stale = 1
            continue
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return stale


if __name__ == "__main__":
    sys.exit(main())
