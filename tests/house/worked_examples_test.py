"""The worked examples of the code's appendix: the loads, sizes and capacities that it prints, and one size smaller breaks.
Sources: IFGC 2018, A.7.1, A.6.3 and A.7.2 with the tables that they read; the jobs say what of them is recalled."""
import json
import os
import re
import subprocess
import sys
import tempfile

import house

report = house.Report('worked examples')
program = next((word for word in sys.argv[1:] if os.path.basename(word).startswith('dripleg')), None)
if not program:
    print('no program was built; name it as an argument')
    sys.exit(1)
program = os.path.abspath(program)

# job -> which capacity is read, and for each run: load, capacity, the next size down and what that carries, CFH.
EXAMPLES = {
    'longest_length_example': ('table_longest', [
        ('section_3', 245, 257, '1 in', '3/4 in', 137), ('section_1', 110, 137, '3/4 in', '1/2 in', 65),
        ('section_2', 135, 137, '3/4 in', '1/2 in', 65), ('m -> A', 35, 65, '1/2 in', None, None),
        ('m -> B', 75, 137, '3/4 in', '1/2 in', 65)]),
    'branch_length_example': ('table_branch', [
        ('section_A', 220, 359, '1 in', '3/4 in', 168), ('section_B', 75, 89, '1/2 in', '3/8 in', 44),
        ('section_C', 30, 33, '3/8 in', '1/4 in', 16), ('section_D', 35, 44, '3/8 in', '1/4 in', 21),
        ('section_E', 80, 89, '1/2 in', '3/8 in', 44)]),
    'hybrid_two_psi': ('table_longest', [
        ('delivery -> R1', 110, 189, '18 ehd', '15 ehd', 107), ('n -> range', 75, 116, '23 ehd', '19 ehd', 67),
        ('n -> heater', 35, 58, '18 ehd', '15 ehd', 31)]),
}


def run(*words):
    return subprocess.run([program, *words], capture_output=True, text=True, timeout=20)


def value(path, place):
    first = run('why', path, place).stdout.split('\n')[0]
    match = re.match(r'.* = ([\d.,]+) CFH', first)
    report.check(match, f'{path}: {place}: `{first}`')
    return float(match.group(1)) if match else None


def broken(path):
    found = json.loads(run('check', path, '--format', 'json').stdout)['findings']
    return {(f['rule'], s) for f in found if f['outcome'] == 'breaks' for s in f['subjects']}


for name, (column, runs) in EXAMPLES.items():
    path = os.path.join(house.TOP, 'tests', 'jobs', name + '.drip')
    text = house.text_of(f'tests/jobs/{name}.drip')
    report.check(not broken(path), f'{name}: {sorted(broken(path))} breaks')
    for place, load, capacity, size, smaller, carries in runs:
        report.check(value(path, f'{place}.flow') == load, f'{name}: {place} carries {value(path, place + ".flow")} and not {load}')
        report.check(value(path, f'{place}.{column}') == capacity, f'{name}: {place} may carry {value(path, f"{place}.{column}")} and not {capacity}')
        if smaller is None:
            continue
        # The same job with this run one size smaller.
        head = rf'as {place}$' if '->' not in place else None
        lines = text.split('\n')
        for number, line in enumerate(lines):
            if (head and re.search(head, line)) or (not head and re.match(r'\s*' + place.replace(' ', r'\s+') + r'\s', line)):
                lines[number] = line.replace(f' {size} ', f' {smaller} ', 1)
        report.check('\n'.join(lines) != text, f'{name}: {place} was not found')
        with tempfile.TemporaryDirectory() as here:
            small = os.path.join(here, 'job.drip')
            with open(small, 'w', encoding='utf-8') as file:
                file.write('\n'.join(lines))
            report.check(value(small, f'{place}.{column}') == carries, f'{name}: {place} of {smaller} may carry {value(small, f"{place}.{column}")} and not {carries}')
            report.check(('gas.size_table', place) in broken(small), f'{name}: {place} of {smaller} does not break: {sorted(broken(small))}')
report.finish()
