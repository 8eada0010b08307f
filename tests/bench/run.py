#!/usr/bin/env python3
"""Times whole processes, for one and the same job: `dripleg check`; a Python script with pint, a package for
units; a jsonnet file with assertions. The job is a row of flats on one main, made here, so that its size can be chosen:

    tests/bench/run.py [--flats N] [--rounds R] [--dripleg PATH] [--python PATH]

The two others do less: they work out equivalent lengths, flows, capacities by the longest length and
pressures, and compare them, while `dripleg` judges every rule of its library and says why. Ratios are of medians.
The formulas are those of the library (stdlib/gas/equations.drip), where their sources stand.
"""
import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
# Bores of schedule 40 pipe in inches, as in stdlib/gas/pipe.drip.
BORES = {'1/2 in': 0.622, '3/4 in': 0.824, '1 in': 1.049, '1-1/4 in': 1.380, '1-1/2 in': 1.610, '2 in': 2.067,
         '2-1/2 in': 2.469, '3 in': 3.068, '4 in': 4.026, '5 in': 5.047, '6 in': 6.065, '8 in': 7.981, '10 in': 10.020, '12 in': 11.938}
CR, DROP, HEATING_VALUE, STREET = 0.6094, 0.5, 1035.0, 9.0   # number, in. w.c., Btu/ft3, in. w.c.
DIAMETERS = {'elbow_90': 30, 'ball_valve': 7, 'tee_branch': 60, 'tee_through': 20}


def capacity(bore, along):
    return 2313 * bore**2.623 * (DROP / (CR * along))**0.541


def make_net(flats):
    """Runs in tree order; each knows its parent, so that the three descriptions can be written from one."""
    runs = []
    for flat in range(1, flats + 1):
        feeds = 'M1' if flat == 1 else f'p{flat - 1}'
        runs.append({'from': feeds, 'to': f'p{flat}', 'length': 12, 'fittings': {} if flat > 1 else {'elbow_90': 2, 'ball_valve': 1}})
        runs.append({'from': f'p{flat}', 'to': f'B{flat}', 'length': 10, 'fittings': {'elbow_90': 3, 'ball_valve': 1}, 'branch': True})
    below = {}
    for flat in range(flats, 0, -1):
        below[f'p{flat}'] = 40 + below.get(f'p{flat + 1}', 0)
        below[f'B{flat}'] = 40
    longest = 1.8 * (20 + 12 * flats) + 80   # with fittings: more than the real one, so that every run is large enough
    for run in runs:
        run['load'] = below[run['to']]
        flow = run['load'] * 1000 / HEATING_VALUE
        run['size'] = next((s for s, bore in BORES.items() if capacity(bore, longest) >= flow), '12 in')
        run['bore'] = BORES[run['size']]
        if run['to'].startswith('p') and run['to'] != 'p1':
            run['fittings']['tee_through'] = 1
        if run.get('branch'):
            run['fittings']['tee_branch'] = 1
    return runs


def drip_text(flats, runs):
    lines = ['language 1', 'use trade', '', 'job "Row of flats, measured" {', '  number "B-1"', '  code us_2024', '}', 'site {',
             '  elevation 300 ft, outdoor_design 5 degF, indoor_design 70 degF', '}',
             f'supply street {{ fuel natural_gas, pressure {STREET} inwc }}',
             'meter M1 { capacity 90000 ft3/h at 0.25 psi, index plain }', '']
    for flat in range(1, flats + 1):
        lines.append(f'boiler B{flat} {{ fuel natural_gas, input natural_gas 40 MBH, min_input natural_gas 8 MBH, '
                     'inlet_pressure natural_gas 3.5 inwc .. 13 inwc }')
    lines += ['', 'gas {', '  sized_by longest_length', '  street -> M1    8 ft of 12 in steel']
    for run in runs:
        # Tees at junctions are counted by the compiler.
        fittings = ', '.join(f'{count} {name}' for name, count in run['fittings'].items() if not name.startswith('tee'))
        straight = ' straight' if 'tee_through' in run['fittings'] else ''
        lines.append(f'  {run["from"]} -> {run["to"]}   {run["length"]} ft of {run["size"]} steel{straight}' + (f'   with {fittings}' if fittings else ''))
    return '\n'.join(lines + ['}', ''])


PINT = '''
import json, pint, sys
u = pint.UnitRegistry()
net = json.load(open(sys.argv[1]))
u.define("inwc = 249.08891 pascal")
limit, drop, value = 3.5 * u.inwc, net["drop"] * u.inwc, net["heating_value"] * u.Btu / u.foot**3
runs = {r["to"]: r for r in net["runs"]}
for r in net["runs"]:
    bore = r["bore"] * u.inch
    r["equivalent"] = r["length"] * u.foot + sum((net["diameters"][n] * c for n, c in r["fittings"].items()), 0) * bore
    r["flow"] = (r["load"] * 1000 * u.Btu / u.hour) / value
    above = runs.get(r["from"])
    r["reach"] = r["equivalent"] + (above["reach"] if above else 0 * u.foot)
longest = max(r["reach"] for r in net["runs"])
broken = 0
for r in net["runs"]:
    bore = r["bore"] * u.inch
    x = (bore / u.inch).to("").magnitude
    can = 2313 * x**2.623 * ((drop / u.inwc).to("").magnitude / (net["cr"] * (longest / u.foot).to("").magnitude))**0.541 * u.foot**3 / u.hour
    lost = net["cr"] * (r["equivalent"] / u.foot).to("").magnitude * ((r["flow"].to(u.foot**3 / u.hour).magnitude) / (2313 * x**2.623))**(1 / 0.541) * u.inwc
    above = runs.get(r["from"])
    r["pressure"] = (above["pressure"] if above else net["street"] * u.inwc) - lost
    if r["flow"] > can: broken += 1
    if r["to"].startswith("B") and r["pressure"] < limit: broken += 1
print(len(net["runs"]), "runs", broken, "broken")
sys.exit(1 if broken else 0)
'''

JSONNET = '''
local net = import 'net.json';
local above = { [r.to]: r for r in net.runs };
local equivalent(r) = r.length + std.foldl(function(s, n) s + net.diameters[n] * r.fittings[n], std.objectFields(r.fittings), 0) * r.bore / 12;
local flow(r) = r.load * 1000 / net.heating_value;
local lost(r) = net.cr * equivalent(r) * std.pow(flow(r) / (2313 * std.pow(r.bore, 2.623)), 1 / 0.541);
local walked = std.foldl(
  function(done, r)
    local before = if std.objectHas(done, r.from) then done[r.from] else { reach: 0, pressure: net.street };
    done { [r.to]: { reach: before.reach + equivalent(r), pressure: before.pressure - lost(r) } },
  net.runs, {});
local longest = std.foldl(function(most, r) std.max(most, walked[r.to].reach), net.runs, 0);
local can(r) = 2313 * std.pow(r.bore, 2.623) * std.pow(net.drop / (net.cr * longest), 0.541);
{
  runs: [
    { assert flow(r) <= can(r) : 'too small: ' + r.to,
      assert !std.startsWith(r.to, 'B') || walked[r.to].pressure >= 3.5 : 'too low: ' + r.to,
      to: r.to, flow: flow(r), capacity: can(r), pressure: walked[r.to].pressure }
    for r in net.runs
  ],
}
'''


def timed(words, rounds, allowed):
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        done = subprocess.run(words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, check=False)
        times.append(time.perf_counter() - begin)
        if done.returncode not in allowed:
            sys.exit(f'{" ".join(words)}: exit {done.returncode}\n{done.stderr.decode(errors="replace")}')
    return statistics.median(times) * 1000


def main():
    arguments = argparse.ArgumentParser(description=__doc__.split('\n')[0])
    arguments.add_argument('--flats', type=int, default=60)
    arguments.add_argument('--rounds', type=int, default=31)
    arguments.add_argument('--dripleg', default=os.path.join(TOP, 'build', 'dripleg'))
    arguments.add_argument('--python', default=sys.executable, help='a Python that has pint')
    asked = arguments.parse_args()
    runs = make_net(asked.flats)
    with tempfile.TemporaryDirectory() as folder:
        def write(name, text):
            path = os.path.join(folder, name)
            with open(path, 'w', encoding='utf-8') as file:
                file.write(text)
            return path

        net = write('net.json', json.dumps({'runs': runs, 'diameters': DIAMETERS, 'cr': CR, 'drop': DROP, 'heating_value': HEATING_VALUE,
                                            'street': STREET}))
        job = write('job.drip', drip_text(asked.flats, runs))
        script = write('check.py', PINT)
        data = write('check.jsonnet', JSONNET)
        slow = max(3, asked.rounds // 6)
        # 1 is a broken rule, which is no failure here; the row of flats states only what its gas needs.
        ours = timed([asked.dripleg, 'check', job], asked.rounds, (0, 1))
        print(f'{len(runs)} runs, {asked.flats} appliances; medians of whole processes')
        print(f'  dripleg check        {ours:9.2f} ms')
        for name, words in (('python3 with pint', [asked.python, script, net]), ('jsonnet, assertions', ['jsonnet', data])):
            other = timed(words, slow, (0,))
            print(f'  {name:20s} {other:9.2f} ms   {other / ours:7.1f} times as long')


if __name__ == '__main__':
    main()
