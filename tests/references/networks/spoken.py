"""A network written as a job over the library and the small test library, and what the program makes of it."""
import json
import os
import subprocess
import sys
import tempfile

from described import HERE, house

CUBIC_METRES_A_SECOND = 231 * 0.0254 ** 3 / 60         # of a gpm
LAWS = ('library', 'engine', 'blend')


def program():
    for word in sys.argv[1:]:
        if os.path.basename(word).startswith('dripleg'):
            return os.path.abspath(word)
    print('no program was built; name it as an argument')
    sys.exit(1)


def _table(points):
    rows = '\n'.join(f'    {flow:.12g} gpm  {head:.12g} ft_head' for flow, head in points)
    return f'  curve {{\n    rate  rise\n{rows}\n  }}'


def _sheet(link):
    control = ''
    if link['type'] == 'const_dp':
        control = f', control head, holds_head {link["head"]:.12g} ft_head'
    elif link['type'] == 'prop_dp':
        control = f', control proportional_head, holds_head {link["head"]:.12g} ft_head, holds_at {link["at"]:.12g} gpm'
    return (f'circulator s_{link["id"]} {{\n  suction none, discharge none, always, speed {link.get("speed", 1):.12g}{control}\n'
            f'{_table(link["points"])}\n}}')


def _thing(link, number, shut):
    """Things of the job for a link that is no run."""
    if link['type'].startswith('trial_'):
        return [f'{link["type"]} l_{link["id"]} {{ number {number}, cv {link["cv"]:.12g}{link["words"]} }}']
    if link['type'] != 'power':
        return [_sheet(link), f'trial_circulator l_{link["id"]} {{ sheet s_{link["id"]}, number {number}{shut} }}']
    (_, top), (flow_1, head_1), (flow_2, head_2) = link['points']
    return [f'trial_power_pump l_{link["id"]} {{ number {number}, shut_off {top:.12g} ft_head, rate_1 {flow_1:.12g} gpm, head_1 {head_1:.12g} ft_head,'
            f' rate_2 {flow_2:.12g} gpm, head_2 {head_2:.12g} ft_head, speed {link["speed"]:.12g}{shut} }}']


FORMS = {
    'pipe': lambda k: f'form pipe, along {k["length"]:.12g} ft, bore {k["bore"]:.12g} in, roughness {k["rough"]:.12g} ft, loss {k["K"]:.12g}',
    'cv': lambda k: f'form valve, cv {k["cv"]:.12g}',
    'check': lambda k: f'form valve, one_way, cv {k["cv"]:.12g}',
    'spring': lambda k: f'form spring, one_way, opens {k["opens"]:.12g} ft_head, cv {(2.31 / k["k"]) ** 0.5:.12g}',
    'bypass': lambda k: f'form bypass, one_way, opens {k["opens"]:.12g} ft_head, slope {k["slope"]:.12g} ft_head',
    'picv': lambda k: f'form limiter, cv {k["cv"]:.12g}, limit {k["limit"]:.12g} gpm',
    'zero': lambda k: 'form plain',
    'held': lambda k: f'form held, holds {k["head"]:.12g} ft_head',
    'forced': lambda k: f'form forced, flows {k["flow"]:.12g} gpm',
}
THINGS = ('pump', 'power', 'const_dp', 'prop_dp', 'trial_mixer', 'trial_mixer_back')   # the others are runs


def _anchored(network):
    """Links that say what a net of the language has no word for: a second fixed head, and what is taken at a point."""
    if not network.fixed:
        return []
    first, *others = network.fixed
    held = [{'id': f'held_{point}', 'from': first, 'to': point, 'type': 'held', 'head': network.fixed[first] - network.fixed[point]}
            for point in others]
    return held + [{'id': f'taken_{point}', 'from': point, 'to': first, 'type': 'forced', 'flow': -flow}
                   for point, flow in network.supply.items()]


def job(network, views, more=()):
    """The job, with the number by which each link is shut in a view. `views` are (name, law, link that is shut, words)."""
    numbers, things, runs = {}, [], []
    for number, link in enumerate(network.links + _anchored(network), 1):
        name, ends = link['id'], f'p_{link["from"]} -> {{}}p_{link["to"]}'
        numbers[name] = number
        shut = ', shut' if link.get('shut') else ''
        if link['type'] in THINGS:
            things += _thing(link, number, shut)
            runs.append(f'  {ends.format(f"l_{name} -> ")} as r_{name} {{ form plain, number 0 }}')
        else:
            words = FORMS[link['type']](link) + shut + link.get('words', '')
            runs.append(f'  {ends.format("")} as l_{name} {{ number {number}, {words} }}')
    if network.fixed:
        things.append('trial_vessel datum_vessel { }')
        runs.append(f'  p_{next(iter(network.fixed))} -> datum_vessel as r_datum {{ form plain, number 0 }}')
    for name, law, shut, words in views:
        things.append(f'trial_view {name} {{ law {law}, closing {numbers[shut] if shut else -1}{words} }}')
    return '\n'.join(['language 1', 'use trade', f'job "{network.name}" {{ code us_2024 }}', *things, *more,
                      'trial {', f'  thickness {network.viscosity:.12g} ft2/s', *runs, '}', ''])


class Judged:
    def __init__(self, text, seconds=100):
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, 'network.drip')
            with open(path, 'w', encoding='utf-8') as file:
                file.write(text)
            libraries = ':'.join([os.path.join(house.TOP, 'stdlib'), os.path.join(HERE, 'lib')])
            said = subprocess.run([program(), 'check', path, '--all', '--format', 'json', '--library', libraries],
                                  capture_output=True, text=True, timeout=seconds)
        self.said = said.stdout + said.stderr
        try:
            self.answer = json.loads(said.stdout)
        except ValueError:
            self.answer = {'findings': [], 'notices': [{'severity': 'error', 'headline': self.said[:300]}]}
        self.errors = [notice['headline'] for notice in self.answer['notices'] if notice['severity'] == 'error']
        self.told = [notice['headline'] for notice in self.answer['notices'] if notice['severity'] != 'error']
        self.flows, self.warmth, self.positions = {}, {}, {}   # by view, then by name
        for finding in self.answer['findings']:
            if finding['rule'] == 'trial.flow' and finding['subjects'][1].startswith('l_') and '->' not in finding['subjects'][1]:
                view, leg = finding['subjects']
                found = finding.get('found')
                self.flows.setdefault(view, {})[leg[2:]] = found['value'] / CUBIC_METRES_A_SECOND if found else None
            elif finding['rule'] == 'trial.position' and finding.get('found'):
                self.positions.setdefault(finding['subjects'][0], {})[finding['subjects'][1][2:]] = finding['found']['value']
            elif finding['rule'] == 'trial.warmth':
                view, point = finding['subjects']
                found = finding.get('found')
                self.warmth.setdefault(view, {})[point.removeprefix('p_')] = found['value'] * 1.8 - 459.67 if found else None
