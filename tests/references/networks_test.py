"""Balanced flows against networks that were solved elsewhere: by a public-domain engine for pipe networks and by a general
least-squares solver with two textbook friction laws. The same friction law must give the same flows; the others come near."""
import json
import os
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), 'house'))
import house  # noqa: E402

report = house.Report('networks solved elsewhere')
program = next((word for word in sys.argv[1:] if os.path.basename(word).startswith('dripleg')), None)
if not program:
    print('no program was built; name it as an argument')
    sys.exit(1)
program = os.path.abspath(program)

TUBES = {1.055: '1 in of copper_m', 0.811: '3/4 in of copper_m', 1.291: '1-1/4 in of copper_m', 0.475: '1/2 in of pex_barrier'}
SIZE = {diameter: words.replace(' of ', ' ') for diameter, words in TUBES.items()}
# Percent of the flow, by the law of the solution. The library's law is Churchill's; the engine's and Colebrook's differ.
ALLOWED = {'churchill': 0.05, 'colebrook': 0.5, 'engine': 0.5}


def rows(curve):
    """The curve as its table: the power law through three points at many flows, or the points themselves."""
    if 'H0' not in curve:
        return [(float(q), float(h)) for q, h in curve['points']]
    last = curve['points'][-1][0] * 1.2
    flows = [last * n / 240 for n in range(241)]
    return [(q, curve['H0'] - curve['B'] * q ** curve['C']) for q in flows]


def job(network):
    text = ['language 1', 'use trade', 'job "Network" { code us_2024 }', 'expansion_tank XT { fill 12 psi }']
    for link in network['links']:
        if link['type'] == 'pump':
            table = '\n'.join(f'    {q:.6f} gpm  {h:.7f} ft_head' for q, h in rows(network['curves'][link['curve']]))
            text.append(f'circulator {link["id"]} {{\n  always\n  curve {{\n    rate  rise\n{table}\n  }}\n}}')
    text.append(f'water {{\n  fluid water\n  friction_temperature {network["temperature_F"]} degF')
    for link in network['links']:
        if link['type'] == 'pump':
            text.append(f'  {link["from"]} -> {link["id"]} -> {link["to"]}   0 ft of 1 in copper_m {{ tees_stated }}')
        else:
            text.append(f'  {link["from"]} -> {link["to"]}   {link["length"]:.9g} ft of {SIZE[link["diam"]]}'
                        f'   as run_{link["id"]}   {{ tees_stated, more_loss {link["K"]} }}')
    return '\n'.join(text + ['}', ''])


def shown_flow(path, place):
    said = subprocess.run([program, 'why', path, place + '.flow', '--library', os.path.join(house.TOP, 'stdlib')],
                          capture_output=True, text=True, timeout=60)
    match = re.search(r' = (-?[\d.,]+(?:e-?\d+)?) gpm', said.stdout)
    report.check(match, f'{place}: `{said.stdout[:80]}{said.stderr[:200]}`')
    return float(match.group(1).replace(',', '')) if match else None


with open(os.path.join(house.TOP, 'tests', 'references', 'networks.json'), encoding='utf-8') as file:
    networks = json.load(file)['networks']
for network in networks:
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, 'network.drip')
        with open(path, 'w', encoding='utf-8') as file:
            file.write(job(network))
        for link in network['links']:
            place = link['id'] if link['type'] == 'pump' else 'run_' + link['id']
            found = shown_flow(path, place)
            if found is None:
                continue
            for law, allowed in ALLOWED.items():
                wanted = network['flows'][law][link['id']]
                # What is printed has three digits; half of the last one is allowed on top.
                printed = 0.5 * 10 ** (len(str(int(abs(found)))) - 3) if abs(found) >= 1 else 0.0005
                report.check(abs(found - wanted) <= allowed / 100 * abs(wanted) + printed + 0.001,
                             f'{network["id"]}, {link["id"]}: {found} gpm and not {wanted} ({law})')

# The comparison can fail: with a circulator a tenth faster nothing agrees.
with tempfile.TemporaryDirectory() as folder:
    path = os.path.join(folder, 'network.drip')
    with open(path, 'w', encoding='utf-8') as file:
        file.write(job(networks[0]).replace('  always\n', '  always, speed 1.1\n'))
    found, wanted = shown_flow(path, 'run_B1'), networks[0]['flows']['churchill']['B1']
    report.check(found is not None and abs(found - wanted) > 0.05 * wanted, 'a faster circulator is not noticed')
report.finish()
