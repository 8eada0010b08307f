#!/usr/bin/env python3
"""A plant of many circuits, judged in all its cases: time of the whole process and memory.

usage: plant.py DRIPLEG [--circuits 200] [--rounds 3] [--keep FILE]
One boiler behind a separator, a main with direct return, and on it circuits of a zone valve and a length of finned tube each;
the plant is of our own invention. Prints seconds, megabytes, findings and how many times faster than the goal it is.
"""
import argparse
import json
import os
import resource
import subprocess
import tempfile
import time

GOAL_SECONDS, GOAL_MEGABYTES = 1.0, 200.0


def plant(circuits):
    loss = [6000 + 250 * (n % 9) for n in range(circuits)]
    total = sum(loss)
    flow = total / 10000.0                                    # gpm at a drop of 20 Fdeg
    lines = ["language 1", "use trade", 'job "Many circuits" { code us_2024, stage design }',
             "site { elevation 300 ft, building many_dwellings, outdoor_design 5 degF, indoor_design 70 degF, snow_depth 12 in, heating_ends 65 degF, cold_water 42 degF winter 60 degF summer }",
             "supply street { fuel natural_gas, pressure 7 inwc }", "expansion_tank X1 { fill 18 psi }",
             f"boiler B1 {{ fuel natural_gas, input natural_gas {total * 1.2 / 1000:.0f} MBH, min_input natural_gas {total / 8000:.0f} MBH",
             "  inlet_pressure natural_gas 3.5 inwc .. 10.5 inwc, efficiency 93 % gross return 120 degF",
             f"  own_drop 6 ft_head at {flow:.0f} gpm, water_volume 20 gal, min_flow {flow / 4:.0f} gpm, max_rise 40 Fdeg, tapping 4 in, greatest_water 185 degF, setpoint 175 degF }}",
             "separator S1 { connection 4 in, body 12 in }"]
    for name, head in (("P0", 18), ("P1", 40)):
        points = "\n".join(f"    {flow * part:.1f} gpm   {head * (1.2 - 0.5 * part * part):.2f} ft_head" for part in (0, 0.5, 1, 1.4))
        lines += [f"circulator {name} {{", "  curve {", "    rate  rise", points, "  }", "  suction_needed 6 ft_head, above_tank 3 ft, straight_before 12, warmth_stopped none", "}"]
    for n in range(circuits):
        lines += [f"zone z{n} {{ heat_loss {loss[n]} Btu/h, loss_from calculation }}", f"zone_valve V{n} {{ cv 3.5, serves [z{n}] }}",
                  f"baseboard F{n} {{ heats z{n}, rated {int(loss[n] * 1.5)} Btu/h, rated_difference 115 Fdeg, design_drop 20 Fdeg }}"]
    lines += ["water {", "  fluid water", "  X1 -> cold  1 ft of 1/2 in copper_m", "  B1.supply -> S1.top   10 ft of 4 in steel",
              "  S1.bottom -> cold     2 ft of 4 in steel", "  cold -> P0 -> B1.return  10 ft of 4 in steel", "  S1.top -> P1 -> s0    8 ft of 4 in steel", "  r0 -> S1.bottom       8 ft of 4 in steel as back"]
    for n in range(circuits):
        lines.append(f"  s{n} -> V{n} -> F{n} -> r{n}  {40 + n % 13} ft of 1/2 in copper_m  with 8 elbow_90")
        if n + 1 < circuits:
            lines += [f"  s{n} -> s{n + 1}  4 ft of 4 in steel {{ straight }}", f"  r{n + 1} -> r{n}  4 ft of 4 in steel {{ straight }}"]
    return "\n".join(lines + ["}"]) + "\n"


def run(dripleg, job):
    start = time.perf_counter()
    child = subprocess.Popen([dripleg, "check", job, "--format", "json"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    out = child.stdout.read()
    _, status, used = os.wait4(child.pid, 0)
    return time.perf_counter() - start, used.ru_maxrss / 1024.0, out


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("dripleg")
    arguments.add_argument("--circuits", type=int, default=200)
    arguments.add_argument("--rounds", type=int, default=3)
    arguments.add_argument("--keep")
    given = arguments.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        job = given.keep or os.path.join(folder, "plant.drip")
        with open(job, "w") as file:
            file.write(plant(given.circuits))
        rounds = [run(given.dripleg, job) for _ in range(given.rounds)]
    seconds = sorted(r[0] for r in rounds)[len(rounds) // 2]
    megabytes = max(r[1] for r in rounds)
    judged = json.loads(rounds[0][2])
    print(f"{given.circuits} circuits: {seconds:.2f} s, {megabytes:.0f} MB, {len(judged.get('findings', []))} findings; "
          f"goal over time {GOAL_SECONDS / seconds:.1f}, goal over memory {GOAL_MEGABYTES / megabytes:.1f}")


if __name__ == "__main__":
    main()
