"""Temperatures that settle, through the language: every settling of networks_extra.json, and its mixing valves, whose
positions hang on temperatures that hang on flows that hang on the positions. The emitters' law and their logarithmic mean
are those of stdlib/water; flows are forced where the file states them, and balanced where it has the network."""
import described
import spoken
from described import Network, house

FDEG, GPM, SHARE = 0.02, 0.01, 0.0005
report = house.Report('temperatures through the language')
whole = described.facts('networks_extra.json')
networks = {network.name: network for network in described.extra()}
MIXER_CURVE, PRIMARY_CURVE = [[0, 14], [5, 11], [9, 6], [12, 0]], [[0, 12], [7, 10], [12, 8], [24, 0]]


def part(name, said, below_air):
    if said['kind'] == 'boiler':
        return f'trial_part part_{name} {{ heats yes, target {said["target"]:.12g} degF, out {said["out"]:.12g} Btu/h }}'
    by_log = ', by_log' if said.get('mean') == 'log' else ''
    return (f'trial_part part_{name} {{ heats no, air {said["air"]:.12g} degF, rated {said["K"]:.17g} Btu/h, exponent {said["n"]:.17g}'
            f'{by_log}{", least_of" if below_air else ""} }}')


def with_parts(network, parts):
    for name in parts:
        link = network.link(name)
        link['words'] = link.get('words', '') + f', part part_{name}'
    return network


def forced(entry):
    links = [{'id': name, 'from': begins, 'to': ends, 'type': 'forced', 'flow': flow} for name, begins, ends, flow in entry['legs']]
    fixed = {'XT': 0.0} if any(link['from'] == 'XT' for link in links) else {}
    return with_parts(Network(entry['title'], '', links, fixed, {}, 3.82107e-06), entry['parts'])


def mixing(entry):
    """The circuit that the note describes: a separator, secondaries with mixing valves, one zone without."""
    pipe = {'rough': 5e-06, 'type': 'pipe'}
    links = [{'id': 'PP', 'from': 'PR', 'to': 'PB', 'type': 'pump', 'points': PRIMARY_CURVE},
             {'id': 'BLR', 'from': 'PB', 'to': 'T', 'type': 'cv', 'cv': 14}, {'id': 'SEP', 'from': 'T', 'to': 'U', 'type': 'zero'},
             {'id': 'PRT', 'from': 'U', 'to': 'PR', 'length': 20, 'bore': 1.291, 'K': 4, **pipe}]
    for i in range(len(entry['set'])):
        links += [{'id': f'hot{i}', 'from': 'T', 'to': f'm{i}', 'type': 'trial_mixer', 'cv': 8,
                   'words': f', sets {entry["set"][i]} degF, back_side l_by{i}'},
                  {'id': f'by{i}', 'from': f'r{i}', 'to': f'm{i}', 'type': 'trial_mixer_back', 'cv': 8, 'words': ''},
                  {'id': f'mp{i}', 'from': f'm{i}', 'to': f's{i}', 'type': 'pump', 'points': MIXER_CURVE},
                  {'id': f'slab{i}', 'from': f's{i}', 'to': f'r{i}', 'length': 300, 'bore': 0.811, 'K': 10, **pipe},
                  {'id': f'ret{i}', 'from': f'r{i}', 'to': 'U', 'type': 'cv', 'cv': 10}]
    links += [{'id': 'zp', 'from': 'T', 'to': 'zs', 'type': 'pump', 'points': MIXER_CURVE},
              {'id': 'zone', 'from': 'zs', 'to': 'U', 'length': 200, 'bore': 0.811, 'K': 10, **pipe}]
    network = Network(f'{entry["valves"]} mixing valves, set {entry["set"]}', '', links, {}, {}, 3.82107e-06)
    return with_parts(network, entry['parts'])


def judged(network, parts, below_air=False, flows=False):
    things = [part(name, said, below_air) for name, said in parts.items()]
    answer = spoken.Judged(spoken.job(network, [('warm', 'blend', None, f', warm, flows {"yes" if flows else "no"}')], things))
    report.check(not answer.errors, f'{network.name}: {answer.errors}')
    return answer


def compare(network, answer, temperatures):
    if answer.errors:
        return
    worst, found = (0.0, ''), answer.warmth.get('warm', {})
    for point, wanted in temperatures.items():
        got = found.get(point)
        report.check(got is not None and abs(got - wanted) <= FDEG, f'{network.name}, {point}: {got} degF and not {wanted}')
        if got is not None:
            worst = max(worst, (abs(got - wanted), point))
    print(f'{network.name:64}{len(network.links):6} legs {len(temperatures):4} points  most {worst[0]:.4f} Fdeg at {worst[1]}')


for entry in whole['settle']:
    network = forced(entry) if entry['legs'] else with_parts(networks[entry['network']].copy(entry['title']), entry['parts'])
    compare(network, judged(network, entry['parts'], flows=not entry['legs']), entry['temperature'])
    name = entry['title'].split()[0]
    if entry['legs'] and name in networks:              # and with flows as they balance
        balanced = with_parts(networks[name].copy(entry['title'] + ', balanced'), entry['parts'])
        compare(balanced, judged(balanced, entry['parts']), entry['temperature'])
for entry in whole['mixing']:
    network = mixing(entry)
    answer = judged(network, entry['parts'], below_air=True, flows=True)
    compare(network, answer, entry['temperature'])
    for leg, wanted in entry['flow'].items() if not answer.errors else ():
        got = answer.flows.get('warm', {}).get(leg)
        report.check(got is not None and abs(got - wanted) <= GPM, f'{network.name}, {leg}: {got} gpm and not {wanted}')
    for i, wanted in enumerate(entry['position']):
        got = answer.positions.get('warm', {}).get(f'hot{i}')
        report.check(got is not None and abs(got - wanted) <= SHARE, f'{network.name}, position {i}: {got} and not {wanted}')
report.check(len(whole['settle']) == 16 and len(whole['mixing']) == 6, 'settlings are missing')

# The comparison can fail: a boiler with a hundredth more.
entry = whole['settle'][0]
network, parts = forced(entry), {**entry['parts'], 'MS': {**entry['parts']['MS'], 'out': entry['parts']['MS']['out'] * 1.01}}
found = judged(network, parts).warmth.get('warm', {})
report.check(any(abs(found.get(point, wanted) - wanted) > FDEG for point, wanted in entry['temperature'].items()), 'a larger boiler is not noticed')
report.finish()
