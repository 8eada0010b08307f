"""What the program prints as JSON is what docs/*.schema.json say, for whole, broken and missing jobs."""
import copy
import json
import os
import subprocess
import sys

try:
    import jsonschema
except ImportError:    # it comes as a package of the system, for the system's own Python
    if sys.executable == '/usr/bin/python3':
        raise
    os.execv('/usr/bin/python3', ['/usr/bin/python3', *sys.argv])

import house

PROGRAM = os.path.abspath(sys.argv[1])
JOBS = ['examples/apartment_house.drip', 'examples/propane_cabin.drip']
report = house.Report('schema')
schemas = {name: json.loads(house.text_of(f'docs/{name}.schema.json')) for name in ('check', 'why')}
for schema in schemas.values():
    jsonschema.Draft7Validator.check_schema(schema)


def printed(*words, text=None):
    done = subprocess.run([PROGRAM, *words, '--format', 'json'], cwd=house.TOP, input=text, capture_output=True, text=True, check=False)
    return json.loads(done.stdout)


def faults(name, document):
    found = jsonschema.Draft7Validator(schemas[name]).iter_errors(document)
    return [f'{"/".join(map(str, error.absolute_path))}: {error.message[:200]}' for error in found]


def check(name, *words, text=None):
    document = printed(*words, text=text)
    wrong = faults(name, document)
    report.check(not wrong, f'{" ".join(words)}: {wrong[:3]}')
    return document


seen = []
for job in JOBS:
    seen += [check('check', 'check', job), check('check', 'check', job, '--all', '--on', '2026-05-11'), check('check', 'check', job, '--on', '2040-01-01')]
check('check', 'check', *JOBS)
check('check', 'check', 'examples/there_is_none.drip')
broken = check('check', 'check', '-', '--name', 'broken.drip', text='language 1\nuse trade\nboiler B1 { input 10 bananas, colour red }\ngas {\n')
report.check(broken['exit'] == 2 and broken['notices'], 'a broken job: no notice')
for place in ('R1.load', 'a -> b.counted_capacity', 'gas.size_table @ a -> b', 'gas.regulator_breather @ R2'):
    check('why', 'why', JOBS[0], place)
    check('why', 'why', JOBS[0], place, '--all')

# Every part of the schema is met by something, so that it is not merely never looked at.
findings = [finding for document in seen for finding in document['findings']]
for outcome in ('holds', 'breaks', 'open'):
    report.check(any(f['outcome'] == outcome for f in findings), f'no finding that is `{outcome}` was looked at')
for standing in ('plain', 'accepted', 'ran_out', 'day_not_given'):
    report.check(any(f['standing'] == standing for f in findings), f'no finding whose standing is `{standing}` was looked at')
report.check(any('margin' in f for f in findings), 'no margin was looked at')
# And it turns away what is not so.
for spoil in (lambda d: d.pop('counts'), lambda d: d.update(more=1), lambda d: d['findings'][0].update(outcome='perhaps'),
              lambda d: d['findings'][0].update(fingerprint='1'), lambda d: d.update(format='dripleg.check/0')):
    other = copy.deepcopy(seen[0])
    spoil(other)
    report.check(bool(faults('check', other)), 'a spoilt document passes')
report.finish()
