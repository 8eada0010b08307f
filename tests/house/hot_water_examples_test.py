"""The worked examples of hot water: what the jobs say that they must give, and what breaks when they are made one step too small."""
import json
import os
import subprocess
import sys
import tempfile

import house

report = house.Report('hot water examples')
program = next((word for word in sys.argv[1:] if os.path.basename(word).startswith('dripleg')), None)
if not program:
    print('no program was built; name it as an argument')
    sys.exit(1)
program = os.path.abspath(program)

# job -> values at the peak of winter, then the step that makes it too small and the rule that must break.
EXAMPLES = {
    'hot_water_sixty_flats': ({'possible': '42 gpm', 'probable': '12.6 gpm', 'storage_asked': '945 gal', 'stored': '960 gal'},
                              ('indirect T 3 of', 'indirect T 2 of'), 'hot_water.storage_enough'),
    'hot_water_two_showers': ({'drawn_hot_flow': '3.23 gpm', 'capacity': '3.65 gpm', 'served': '100 %'},
                              ('flow 2.0 gpm, valve', 'flow 2.5 gpm, valve'), 'hot_water.instant_peak'),
}


def run(*words):
    return subprocess.run([program, *words], capture_output=True, text=True, timeout=30).stdout


def broken(path):
    return {f['rule'] for f in json.loads(run('check', path, '--format', 'json'))['findings'] if f['outcome'] == 'breaks'}


for name, (values, (now, then), rule) in EXAMPLES.items():
    text = house.text_of(f'tests/jobs/{name}.drip')
    path = os.path.join(house.TOP, 'tests', 'jobs', name + '.drip')
    own = sorted(r for r in broken(path) if r.startswith('hot_water.'))
    report.check(not own, f'{name}: {own} breaks')
    for field, value in values.items():
        said = run('why', path, f'hot_water.{field}', '--case', 'hot_water_peak').split('\n')[0]
        report.check(said.startswith(f'hot_water.{field} = {value} '), f'{name}: `{said}` and not {value}')
    report.check(now in text, f'{name}: `{now}` is not there')
    with tempfile.TemporaryDirectory() as here:
        small = os.path.join(here, 'job.drip')
        with open(small, 'w', encoding='utf-8') as file:
            file.write(text.replace(now, then))
        report.check(rule in broken(small), f'{name}: {then} breaks {sorted(broken(small))}')
report.finish()
