"""Networks as tests/facts/networks describes them, in one form: lengths in ft, bores in in, flows in gpm, heads in ft.
A link has `id`, `from`, `to`, `type` and the numbers of its type; `shut` where it lets nothing through."""
import copy
import json
import os
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(os.path.dirname(os.path.dirname(HERE)), 'house'))
import house  # noqa: E402

FT = 0.3048
GPM_PER_M3_H = 1 / (231 * 0.0254 ** 3 * 60)            # US gallons a minute
COLUMNS = {'pipe': ['length', 'bore', 'rough', 'K'], 'cv': ['cv'], 'check': ['cv'], 'picv': ['cv', 'limit'],
           'spring': ['k', 'opens'], 'pump': ['points'], 'const_dp': ['head', 'points']}
NAMES = {'length_ft': 'length', 'diam_in': 'bore', 'eps_ft': 'rough', 'head_ft': 'head', 'opens_ft': 'opens',
         'limit_gpm': 'limit', 'flow_gpm': 'at', 'closed': 'shut'}


class Network:
    def __init__(self, name, title, links, fixed, supply, viscosity):
        self.name, self.title, self.links, self.fixed, self.supply, self.viscosity = name, title, links, fixed, supply, viscosity
        self.stated = {}                                # law -> flows by link, as the file states them

    def link(self, name):
        return next(link for link in self.links if link['id'] == name)

    def points(self):
        found = {}
        for link in self.links:
            found.setdefault(link['from']), found.setdefault(link['to'])
        return list(found)

    def copy(self, name):
        other = copy.deepcopy(self)
        other.name, other.stated = name, {}
        return other


def facts(name):
    with open(os.path.join(house.TOP, 'tests', 'facts', 'networks', name), encoding='utf-8') as file:
        return json.load(file)


def _small(entry):
    si = entry['units'] == 'SI'
    feet, inches, flow = (1 / FT, 1 / 25.4, GPM_PER_M3_H) if si else (1, 1, 1)
    links = []
    for link in entry['links']:
        row = {'id': link['id'], 'from': link['from'], 'to': link['to'], 'type': link['type']}
        if link['type'] == 'pump':
            curve = entry['pump_curves'][link['curve']]
            row |= {'type': 'power' if 'H0' in curve else 'pump', 'points': curve['points'], 'speed': link['speed']}
        else:
            row |= {'length': link['length'] * feet, 'bore': link['diam'] * inches, 'K': link['K'],
                    'rough': link['eps'] / 1000 / FT if si else link['eps']}
        links.append(row)
    fluid = entry['fluid']
    viscosity = fluid['nu_m2_s'] / FT ** 2 if si else fluid['nu_ft2_s']
    heads = {point: head * feet for point, head in entry['reservoirs'].items()}
    network = Network(entry['id'], entry['title'], links, heads, {}, viscosity)
    network.stated = {law: {link: value * flow for link, value in flows.items()} for law, flows in entry['flows'].items()}
    return network


def small():
    return [_small(entry) for entry in facts('networks.json')['networks']]


def _link(link):
    if isinstance(link, dict):
        return {NAMES.get(key, key): value for key, value in link.items()}
    words = link.split()
    row = dict(zip(['id', 'from', 'to', 'type'], words))
    row |= {column: json.loads(word) for column, word in zip(COLUMNS[row['type']], words[4:])}
    return row


def unsolvable():
    """Networks without an answer, with more than one, or with one that has to be told of."""
    return {network.name: network for network in extra('unsolvable')}


def extra(which='networks'):
    """The awkward and the large networks."""
    whole = facts('networks_extra.json')
    viscosity = whole['conventions']['nu_ft2_s']
    found = []
    for entry in whole[which]:
        network = Network(entry['id'], entry['title'], [_link(link) for link in entry['links']], entry['fixed'] or {},
                          entry['supply'] or {}, viscosity)
        network.stated = {'blend': entry.get('flow', {})}
        if 'engine_flow' in entry:
            network.stated['engine'] = entry['engine_flow']
        found.append(network)
    return found


def bases():
    """What the variants start from; two of them differ from a network of the file by one thing."""
    found = {network.name: network for network in small()}
    shut = found['B_four_zone'].copy('B3_four_zone_two_zones_closed')
    for name in ('Z2', 'Z3'):
        shut.link(name)['shut'] = True
    slow = found['B_four_zone'].copy('B4_four_zone_speed80')
    slow.link('P1')['speed'] = 0.8
    return found | {shut.name: shut, slow.name: slow}
