"""The examples do what examples/README.md says of them, and are laid out as `dripleg tidy` lays files out."""
import json
import os
import subprocess
import sys

import house

PROGRAM = os.path.abspath(sys.argv[1])
report = house.Report('examples')


def judged(job):
    done = subprocess.run([PROGRAM, 'check', f'examples/{job}.drip', '--format', 'json', '--on', '2026-05-11'], cwd=house.TOP, capture_output=True, check=False)
    result = json.loads(done.stdout)
    report.check(result['exit'] == done.returncode, f'{job}: `exit` says {result["exit"]}, the program left with {done.returncode}')
    report.check(not result['notices'], f'{job}: says {[n["headline"] for n in result["notices"]]}')
    return result


def findings(result, outcome, standing='plain'):
    return sorted(f['id'] for f in result['findings'] if f['outcome'] == outcome and f['standing'] == standing)


house_job = judged('apartment_house')
breaks = ['gas.pressure_lock_up @ dryer[1]', 'gas.pressure_lock_up @ dryer[2]', 'gas.size_table @ a -> b']
report.check(findings(house_job, 'breaks') == breaks, f'apartment_house: breaks {findings(house_job, "breaks")}')
report.check(findings(house_job, 'breaks', 'accepted') == ['gas.regulator_tee_behind @ R1'],
             f'apartment_house: accepted {findings(house_job, "breaks", "accepted")}')
report.check(house_job['counts']['open'] == 3, f'apartment_house: {house_job["counts"]["open"]} are open, not 3')
full = [f for f in house_job['findings'] if f['id'] == 'gas.regulator_capacity @ R1']
report.check(len(full) == 1 and full[0]['outcome'] == 'holds' and 0 < full[0]['margin']['value'] < 0.05 * full[0]['limit']['value'],
             'apartment_house: R1 is not all but fully loaded')

cabin = judged('propane_cabin')
report.check(findings(cabin, 'breaks') == [], f'propane_cabin: breaks {findings(cabin, "breaks")}')
report.check(cabin['counts']['open'] == 2, f'propane_cabin: {cabin["counts"]["open"]} are open, not 2')

tidy = subprocess.run([PROGRAM, 'tidy', '--check', 'examples'], cwd=house.TOP, capture_output=True, text=True, check=False)
report.check(tidy.returncode == 0, 'not laid out: ' + tidy.stdout + tidy.stderr)
report.finish()
