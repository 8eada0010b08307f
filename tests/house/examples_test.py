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


# What breaks in each example on purpose, what is accepted, how many questions are left open.
JOBS = {
    'apartment_house': (['gas.pressure_lock_up @ dryer[1]', 'gas.pressure_lock_up @ dryer[2]', 'gas.size_table @ a -> b',
                         'hot_water.tank_peak @ hot_water', 'job.permit_closed @ job', 'vent.direct_opening_large @ T2W, T2W.to[1]'],
                        ['gas.regulator_tee_behind @ R1'], 3),
    'school': (['gas.regulator_tee_behind @ R1', 'hot_water.growth_size @ hot_water', 'snow.unfrozen @ D1'], [], 2),
    'direct_return_retrofit': (['expansion.precharge @ X1', 'sensor.outdoor_wall @ S1'], [], 2),
    'propane_cabin': ([], [], 2),
}
results = {job: judged(job) for job in JOBS}
for job, (breaks, accepted, asked) in JOBS.items():
    report.check(findings(results[job], 'breaks') == breaks, f'{job}: breaks {findings(results[job], "breaks")}')
    report.check(findings(results[job], 'breaks', 'accepted') == accepted, f'{job}: accepted {findings(results[job], "breaks", "accepted")}')
    report.check(results[job]['counts']['open'] == asked, f'{job}: {results[job]["counts"]["open"]} are open, not {asked}')
    report.check(results[job]['counts']['failed'] == 0, f'{job}: {results[job]["counts"]["failed"]} could not be judged')

full = [f for f in results['apartment_house']['findings'] if f['id'] == 'gas.regulator_capacity @ R1']
report.check(len(full) == 1 and full[0]['outcome'] == 'holds' and 0 < full[0]['margin']['value'] < 0.05 * full[0]['limit']['value'],
             'apartment_house: R1 is not all but fully loaded')

# Each mistake of the record has a finding of its own, and nothing else of that job is wrong.
mistakes = judged('start_up_mistakes')
shown = {f.split(' @ ')[0] for f in findings(mistakes, 'breaks')}
MISTAKES = {
    'reading.gas_before_flue', 'reading.fires_in_order', 'reading.maker_order', 'reading.settings_first',           # out of order
    'reading.co2_window', 'reading.co_limit', 'reading.belongs_together', 'reading.analyser_fuel',                  # what the analyser showed
    'reading.waited', 'reading.read_after_adjusting', 'reading.high_fire_left', 'visit.calibrated',                 # how it was read
    'reading.flowing_all', 'reading.pressure_fall', 'reading.flowing_as_designed', 'reading.fall_as_designed',      # the pressure sags
    'start_up.setting_made', 'start_up.setting_same', 'reading.clocked_long',                                       # forgotten, or too short
    'visit.flame_failure', 'start_up.co_alarm', 'start_up.shown',                                                   # not done
}
report.check(shown == MISTAKES, f'start_up_mistakes: shows {sorted(shown - MISTAKES)} besides, and not {sorted(MISTAKES - shown)}')
report.check(mistakes['counts']['open'] == 0, f'start_up_mistakes: {mistakes["counts"]["open"]} are open')

tidy = subprocess.run([PROGRAM, 'tidy', '--check', 'examples'], cwd=house.TOP, capture_output=True, text=True, check=False)
report.check(tidy.returncode == 0, 'not laid out: ' + tidy.stdout + tidy.stderr)
report.finish()
