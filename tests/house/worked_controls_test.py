"""Resets, tanks and exchangers of tests/jobs against the same worked out here in plain Python from the published forms:
the needs of emitters and a line through both ends of them, the closed diaphragm tank, the counterflow exchanger."""
import json
import math
import os
import re
import subprocess
import sys

import house

report = house.Report('worked controls')
program = next((word for word in sys.argv[1:] if os.path.basename(word).startswith('dripleg')), None)
if not program:
    print('no program was built; name it as an argument')
    sys.exit(1)
program = os.path.abspath(program)
library = ['--library', os.path.join(house.TOP, 'stdlib')]
JOBS = os.path.join(house.TOP, 'tests', 'jobs')


def run(*words):
    return subprocess.run([program, *words, *library], capture_output=True, text=True, timeout=30).stdout


def value(path, place):
    first = run('why', path, place).split('\n')[0]
    match = re.match(r'.* = (-?[\d.,]+) ?(\S*)', first)
    report.check(match, f'{place}: `{first}`')
    return float(match.group(1).replace(',', '')) * (1000 if match.group(2) == 'MBH' else 1) if match else math.nan


def near(found, wanted, within, what):
    report.check(abs(found - wanted) <= within, f'{what}: {found} and not {wanted:.6g}')


def findings(path):
    return json.loads(run('check', path, '--format', 'json'))['findings']


# ---- resets drawn through the need at both ends: the least of line over need, by search in steps of a hundredth --------
def need(outdoors, exponent):
    load = (70 - outdoors) / 76
    return 70 + 95 * load ** (1 / exponent) + 10 * load


def least_over(exponent):
    cold, mild = need(-6, exponent), need(55, exponent)
    return min((cold + (n / 100 + 6) * (mild - cold) / 61 - need(n / 100, exponent), n / 100) for n in range(-600, 5501))


for exponent, least, at in ((1.0, 0, None), (1.3, -2.9582, 29.27), (1.4, -3.5382, 29.49)):
    found, where = least_over(exponent)
    near(found, least, 0.0001, f'the search itself, exponent {exponent}')
    report.check(at is None or where == at, f'the search itself, exponent {exponent}: at {where} and not {at}')
path = os.path.join(JOBS, 'reset_between_its_ends.drip')
covered = {f['subjects'][0]: f for f in findings(path) if f['rule'] == 'reset.covers_users'}
report.check(set(covered) == {'air_handlers', 'panels', 'finned_tube'}, f'three resets: {sorted(covered)}')
for name, exponent in (('air_handlers', 1.0), ('panels', 1.3), ('finned_tube', 1.4)):
    finding = covered[name]
    report.check(finding['outcome'] == ('holds' if exponent == 1.0 else 'breaks'), f"{name}: {finding['outcome']}")
    # The sweep goes by whole degrees from -6: within half a degree of the least the curve moves by less than a hundredth.
    near(finding['margin']['value'] * 9 / 5, least_over(exponent)[0], 0.01, f'{name}: margin')

# ---- the tank, the exchanger, the yard ---------------------------------------------------------------------------------
path = os.path.join(JOBS, 'snow_yard.drip')
growth = 62.3725 / 60.5862 - 1                          # densities of IAPWS-IF97 at 60 and 180 degF, 30 psig
takes, air = 52 * growth, 14.696
near(value(path, 'X1.takes'), takes, 0.01, 'tank: water that it takes')
near(value(path, 'X1.needed'), takes / (1 - (13 + air) / (25 + air)), 0.02, 'tank: least size')
near(value(path, 'X1.highest'), (13 + air) * 6 / (6 - takes) - air, 0.1, 'tank: highest pressure')
near(value(path, 'X1.left_at_top'), 13 - 17 * 62.3725 / 144, 0.02, 'tank: pressure at the top')
passes = 110_000 / 50
near(value(path, 'HX1.passes'), passes, 5, 'exchanger: heat for a degree')
hot, cold = value(path, 'HX1.hot_rate'), value(path, 'HX1.cold_rate')
near(hot, 9 * 488.8, 8, 'exchanger: hot stream')        # 488.8 Btu/h for a gpm and degree of water at 166 degF
ratio, units = min(hot, cold) / max(hot, cold), passes / min(hot, cold)
part = (1 - math.exp(-units * (1 - ratio))) / (1 - ratio * math.exp(-units * (1 - ratio)))
near(value(path, 'HX1.duty'), part * min(hot, cold) * (166 - 92), 200, 'exchanger: duty')
near(value(path, 'yard.melting'), 700 * 120 * 1.1, 100, 'yard: melting')
near(value(path, 'yard.building'), 58_000 * (69 - 20) / (69 - 6), 100, 'yard: the building while it snows')
ours = ('fill.', 'expansion.', 'make_up.', 'exchange.', 'snow.')
broken = sorted(f['id'] for f in findings(path) if f['rule'].startswith(ours) and f['outcome'] != 'holds')
report.check(not broken, f'snow_yard: {broken}')
held = sum(f['rule'].startswith(ours) for f in findings(path))
report.check(held >= 30, f'snow_yard: only {held} findings')
report.finish()
