"""The networks of tests/facts/networks through the language: against the flows that the files state, and against the engine
for pipe networks that npm carries, run here on models that are written from the same descriptions.

Laws: `library` is the text of stdlib/water, Churchill's friction; `engine` and `blend` say in the test library the
engine's own friction and the file's, so that what the solving does and what the friction law does are seen apart."""
import described
import engine
import spoken
from compared import Table, Worst, in_transition, library_against
from described import house

report = house.Report('networks through the language')
STATED = {'churchill': ('library', 0.0005), 'swamee_jain': ('engine', 0.0001), 'engine': ('engine', 0.001),
          'colebrook': ('blend', 0.0001), 'blend': ('blend', 0.0001)}
# What cannot be compared in one way, and why. Nothing is left out of the other ways.
NOT_BY_ENGINE = {
    'S04_prop_dp': 'the engine knows no head that rises with the flow',
    'S05_prop_dp_one_zone': 'the engine knows no head that rises with the flow',
    'S15_opposed': 'the engine lets nothing back through a pump',
}
IDEAL_LIMITS = 'the limiters of the engine hold their flow exactly, those of the file within a thousandth of a gpm for each 10 ft'
HELPED = {'S12_separator_stopped': ('SK2', 'the engine finds no balance by itself: the spring that stays shut is written as shut')}


def views(shut_legs):
    return [(f'{law}_{number}', law, leg, '') for number, leg in enumerate(shut_legs) for law in spoken.LAWS]


def judged(network, shut_legs=(None,)):
    answer = spoken.Judged(spoken.job(network, views(shut_legs)))
    report.check(not answer.errors, f'{network.name}: {answer.errors}')
    for law in spoken.LAWS:
        for number in range(len(shut_legs)):
            report.check(len(answer.flows.get(f'{law}_{number}', {})) >= len(network.links), f'{network.name}: flows are missing')
    return answer


def against_file(network, flows_by_law, stated):
    worst = Worst()
    for source, flows in stated.items():
        law, share = STATED[source]
        for name, wanted in flows.items():
            worst.see(f'{network.name}, {name}, {source}', flows_by_law[law].get(name), wanted, share, 0.001)
    return worst


def against_engine(network, flows_by_law, solved):
    """By the engine's own law, where only the solving can differ, and by the library's."""
    own, ours = Worst(), Worst()
    ideal = any(link['type'] == 'picv' for link in network.links)
    for link in network.links:
        name = link['id']
        own.see(f'{network.name}, {name}, by the engine\'s law', flows_by_law['engine'].get(name), solved[name], 0.005 if ideal else 0.0005, 0.002)
    transition = in_transition(network, solved)
    library_against(ours, network, flows_by_law['library'], solved, transition)
    remarks = [f'{len(transition)} legs in transition'] if transition else []
    if ours.share > 0.005:
        remarks.append(f'most at {ours.where.split(", ")[-1]}, by the friction law')
    return own, ours, remarks + ([IDEAL_LIMITS] if ideal else [])


def of(worst):
    for words in worst.beyond:
        report.check(False, words)
    report.looked_at += worst.compared - len(worst.beyond)
    return worst


# ---- every network ------------------------------------------------------------------------------------------------
networks = described.small() + described.extra()
asked = []
for network in networks:
    if network.name in NOT_BY_ENGINE:
        continue
    one = network.copy(network.name)
    if network.name in HELPED:
        one.link(HELPED[network.name][0])['shut'] = True
    asked.append(one)
solved = engine.Solved(asked)
table = Table('largest differences as parts of the flow, of flows from 0.1 gpm', 'file', 'engine, its law', 'engine, library')
for network in networks:
    answer = judged(network)
    flows = {law: answer.flows.get(f'{law}_0', {}) for law in spoken.LAWS}
    file = of(against_file(network, flows, network.stated))
    own = ours = None
    if network.name in NOT_BY_ENGINE:
        remarks = [NOT_BY_ENGINE[network.name]]
    elif network.name in solved.flows:
        own, ours, remarks = against_engine(network, flows, solved.flows[network.name])
        of(own), of(ours)
        remarks += [HELPED[network.name][1]] if network.name in HELPED else []
    else:
        remarks = [solved.missing[network.name]]
        report.check(False, f'{network.name}: the engine has no flows: {remarks[0]}')
    table.row(network.name, len(network.links), (file, own, ours), '; '.join(remarks))
report.check(len(networks) == 25, f'{len(networks)} networks in the files, 25 are expected')

# ---- every leg shut -----------------------------------------------------------------------------------------------
bases, said, unsaid = described.bases(), {}, {}
for variant in described.facts('networks_extra.json')['variants']:
    (said if variant['network'] in bases else unsaid).setdefault(variant['network'], []).append(variant)


def without(network, leg):
    other = network.copy(f'{network.name} without {leg}')
    other.link(leg)['shut'] = True
    return other


def turned(network, leg, flow):
    """The leg as one that lets nothing through the way that the water went."""
    other = network.copy(f'{network.name}, {leg} one way')
    link = other.link(leg)
    if flow > 0:
        link['from'], link['to'] = link['to'], link['from']
    link['words'] = ', one_way'
    return other


solved = engine.Solved([without(bases[name], variant['shut']) for name, variants in said.items() for variant in variants])
table = Table('\nthe same with one leg shut', 'file', 'engine, its law', 'engine, library')
for name, variants in said.items():
    network, shut = bases[name], [variant['shut'] for variant in variants]
    answer = judged(network, [*shut, None])
    file, own, ours, transition = Worst(), Worst(), Worst(), 0
    scale = described.GPM_PER_M3_H if name == 'C_white_parallel' else 1
    for number, variant in enumerate(variants):
        flows = {law: answer.flows.get(f'{law}_{number}', {}) for law in spoken.LAWS}
        for leg, wanted in variant['flow'].items():
            file.see(f'{name} without {shut[number]}, {leg}', flows['blend'].get(leg), wanted * scale, 0.0001, 0.001)
        by_engine = solved.flows.get(f'{name} without {shut[number]}')
        report.check(by_engine, f'{name} without {shut[number]}: {solved.missing}')
        if by_engine:
            for worst, part in zip((own, ours), against_engine(without(network, shut[number]), flows, by_engine)):
                worst.add(part)
            transition += len(in_transition(network, by_engine))
        # A one-way leg against the flow is as good as a shut one.
        was = answer.flows.get(f'library_{len(shut)}', {}).get(shut[number], 0)
        if network.link(shut[number])['type'] == 'pipe' and abs(was) > 0.001:
            one_way = judged(turned(network, shut[number], was)).flows.get('blend_0', {})
            for leg, wanted in variant['flow'].items():
                file.see(f'{name}, {shut[number]} one way, {leg}', one_way.get(leg), wanted * scale, 0.0001, 0.001)
    table.row(f'{name}, {len(variants)} times', len(network.links), (of(file), of(own), of(ours)),
              f'{transition} legs in transition' if transition else '')
for name, variants in unsaid.items():
    print(f'{name}: {len(variants)} variants cannot be said, the file does not describe the network that they start from')
report.check(sum(map(len, said.values())) == 59, 'variants are missing')

# ---- some circuits of the large networks shut ---------------------------------------------------------------------
table = Table('\nlarge networks with circuits shut', 'file', 'engine, its law', 'engine, library')
large = []
for entry in described.facts('networks_extra.json')['networks']:
    if 'world_2' not in entry:
        continue
    network = next(one for one in networks if one.name == entry['id']).copy(entry['id'] + ', some shut')
    for leg in entry['world_2']['shut']:
        network.link(leg)['shut'] = True
    network.stated = {'blend': entry['world_2']['flow']}
    large.append(network)
solved = engine.Solved(large)
for network in large:
    answer = judged(network)
    flows = {law: answer.flows.get(f'{law}_0', {}) for law in spoken.LAWS}
    file = of(against_file(network, flows, network.stated))
    report.check(network.name in solved.flows, f'{network.name}: {solved.missing}')
    if network.name in solved.flows:
        own, ours, remarks = against_engine(network, flows, solved.flows[network.name])
        table.row(network.name, len(network.links), (file, of(own), of(ours)), '; '.join(remarks))
report.check(len(large) == 2, 'large networks are missing')

# ---- networks of which something has to be told -------------------------------------------------------------------
def told(name, flows, words=None):
    answer = spoken.Judged(spoken.job(described.unsolvable()[name], views((None,))))
    report.check(not answer.errors, f'{name}: {answer.errors}')
    for leg, wanted in flows.items():
        got = sum(answer.flows.get('blend_0', {}).get(part, 0) for part in leg.split('+'))
        report.check(abs(got - wanted) <= 0.01, f'{name}, {leg}: {got} gpm and not {wanted}')
    report.check(words is None or any(words in one for one in answer.told), f'{name}: `{words}` is not told: {answer.told}')


told('X2_parallel_zero', {'s1+s2': 9.1517, 'PU': 9.1517}, 'cannot be told')
told('X5_hump', {'P1+P2': 2.8221, 'Z': 2.8221}, 'two balances')
told('X6_falling_law', {'PU': 40})
told('X7_two_const_dp', {'P1': 120, 'P2': -111.30})
print('X1 cannot be said (a curve that stays level beyond its end), nor X3 and X4 (a tap is a leg that forces its flow)')

# ---- the comparison can fail --------------------------------------------------------------------------------------
network = described.bases()['A_two_branch']
solved = engine.Solved([network])
for what, change in (('a faster circulator', lambda one: one.link('P1').update(speed=1.02)), ('a rougher pipe', lambda one: one.link('B1').update(rough=1e-4)),
                     ('a longer pipe', lambda one: one.link('B2').update(length=125))):
    other = network.copy(what)
    change(other)
    answer = judged(other)
    flows = {law: answer.flows.get(f'{law}_0', {}) for law in spoken.LAWS}
    own, ours, _ = against_engine(network, flows, solved.flows['A_two_branch'])
    report.check(own.beyond and ours.beyond and against_file(network, flows, network.stated).beyond, f'{what} is not noticed')
report.finish()
