"""The engine for pipe networks that npm carries: its models, written from a description, and the flows that it finds."""
import json
import os
import subprocess
import sys

from described import HERE, house

FOLDER = os.environ.get('DRIPLEG_ENGINE') or os.path.join(house.TOP, 'build', 'engine')
GPM_PER_CFS = 448.831                                   # as the engine has it
POUNDS_A_FOOT = 0.4333                                  # psi for each ft of head, the same
MINOR = 0.02517                                         # ft of head for each K, cfs and ft of bore, the same
TRIALS = 500
WIDE = 6                                                # in, of a foot of pipe that stands for none


class CannotSay(Exception):
    """What the engine's models have no word for."""


def _valve_loss(cv, bore=1):
    """The loss coefficient, in this bore, of a valve of this flow coefficient."""
    return 2.31 / cv ** 2 * GPM_PER_CFS ** 2 * (bore / 12) ** 4 / MINOR


def _curve(link):
    """Points of a curve that falls all the way, as the engine wants it; never three, which it would round off."""
    speed = link.get('speed', 1)
    points = [(float(flow), float(head)) for flow, head in link['points']]
    if link['type'] == 'prop_dp':
        raise CannotSay('a head that rises with the flow')
    if link['type'] == 'const_dp':
        return _capped(points, link['head'])
    if link['type'] == 'power':
        if speed <= 0:
            raise CannotSay('a pump that stands and lets through')
        return points
    (flow_1, head_1), (flow_2, head_2) = points[:2]
    return [points[0], ((flow_1 + flow_2) / 2, (head_1 + head_2) / 2), *points[1:]] if len(points) == 3 else points


def _capped(points, cap, slope=1e-6):
    """The curve below the cap; the cap itself falls by so little a gpm that nobody sees it."""
    if points[0][1] <= cap:
        return points
    for (flow_1, head_1), (flow_2, head_2) in zip(points, points[1:]):
        if head_2 <= cap:
            meets = flow_1 + (head_1 - cap) / (head_1 - head_2) * (flow_2 - flow_1)
            rest = [(flow, head) for flow, head in points if flow > meets + 1e-9]
            return [(0.0, cap + slope * meets), (meets / 2, cap + slope * meets / 2), (meets, cap), *rest]
    raise CannotSay('a cap that the curve never meets')


def _opening(link, sections, pressure_breaker, pipe, valve, middle, state, one_way):
    """A leg that opens at a head, in two ways of which the engine sometimes solves only one."""
    name, k, slope, opens = link['id'], link.get('k', 0), link.get('slope', 0), link['opens']
    if pressure_breaker:
        if k:
            raise CannotSay('a spring, with a pressure breaker')
        between, last = middle('b'), middle('c')
        pipe(link['from'], between, one_way)
        valve(between, last, 'PBV', f'{opens * POUNDS_A_FOOT:.12g}', between)
        sections['CURVES'] += [f'c_{name} 0 0', f'c_{name} 1000 {slope * 1000:.12g}']
        valve(last, link['to'], 'GPV', f'c_{name}', last)
        return
    if state == 'CLOSED':
        pipe(link['from'], link['to'], state)
        return
    # A curve, lost over the first thousandth of a gpm either way: as good as shut below that head.
    step = 2 * (0.0005 / k) ** 0.5 if k else 1000       # chords within half a thousandth of a ft
    flows = [0.001] + [n * step for n in range(1, 240 if k else 2)]
    sections['CURVES'] += [f'c_{name} 0 0'] + [f'c_{name} {q:.12g} {opens + k * q * q + slope * q:.12g}' for q in flows]
    valve(link['from'], link['to'], 'GPV', f'c_{name}')


def _lines(link, sections, pressure_breaker):
    name, begins, ends, shut = link['id'], link['from'], link['to'], link.get('shut', False)
    state = 'CLOSED' if shut else 'OPEN'
    one_way = 'CLOSED' if shut else 'CV'

    def pipe(a, b, state, loss=0, length=1, bore=WIDE, rough=0):
        sections['PIPES'].append(f'{name} {a} {b} {length:.12g} {bore:.12g} {rough * 1000:.12g} {loss:.12g} {state}')

    def valve(a, b, form, setting, named=name):
        sections['VALVES'].append(f'{named} {a} {b} 1 {form} {setting} 0')

    def middle(more):
        sections['JUNCTIONS'].append(f'{name}_{more} 0 0')
        return f'{name}_{more}'

    kind = link['type']
    if kind == 'pipe':
        pipe(begins, ends, state, link['K'], link['length'], link['bore'], link['rough'])
    elif kind == 'zero':
        pipe(begins, ends, state)
    elif kind == 'cv':
        valve(begins, ends, 'TCV', f'{_valve_loss(link["cv"]):.12g}')
        if shut:
            sections['STATUS'].append(f'{name} CLOSED')
    elif kind == 'check':
        pipe(begins, ends, one_way, _valve_loss(link['cv'], WIDE))
    elif kind in ('spring', 'bypass'):
        _opening(link, sections, pressure_breaker, pipe, valve, middle, state, one_way)
    elif kind == 'picv':
        between = middle('b')
        valve(begins, between, 'FCV', f'{link["limit"]:.12g}')
        valve(between, ends, 'TCV', f'{_valve_loss(link["cv"]):.12g}', between)
        if shut:
            sections['STATUS'].append(f'{name} CLOSED')
    else:
        sections['CURVES'] += [f'c_{name} {flow:.12g} {head:.12g}' for flow, head in _curve(link)]
        sections['PUMPS'].append(f'{name} {begins} {ends} HEAD c_{name} SPEED {link.get("speed", 1):.12g}')
        if shut:
            sections['STATUS'].append(f'{name} CLOSED')


def model(network, pressure_breaker=False):
    """The text of a model in the engine's own open form. A net without a fixed head gets one, through which nothing flows."""
    sections = {name: [] for name in ('JUNCTIONS', 'RESERVOIRS', 'PIPES', 'PUMPS', 'VALVES', 'STATUS', 'CURVES')}
    fixed = dict(network.fixed)
    sections['JUNCTIONS'] = [f'{point} 0 {-network.supply.get(point, 0):.12g}' for point in network.points() if point not in fixed]
    for number, piece in enumerate(_pieces(network)):
        if not any(point in fixed for point in piece):
            sections['RESERVOIRS'].append(f'anchor{number} 50')
            sections['PIPES'].append(f'anchor_pipe{number} anchor{number} {piece[0]} 1 1 0 0 OPEN')
    if not sections['JUNCTIONS']:                       # a model has one at least
        sections['JUNCTIONS'].append('stub 0 0')
        sections['PIPES'].append(f'stub_pipe {next(iter(fixed))} stub 1 1 0 0 OPEN')
    sections['RESERVOIRS'] += [f'{point} {head:.12g}' for point, head in fixed.items()]
    for link in network.links:
        _lines(link, sections, pressure_breaker)
    text = '[TITLE]\n' + network.name + '\n'
    for name, lines in sections.items():
        text += f'[{name}]\n' + '\n'.join(lines) + '\n'
    return text + ('[OPTIONS]\nUNITS GPM\nHEADLOSS D-W\n' f'VISCOSITY {network.viscosity:.12g}\n'
                   f'TRIALS {TRIALS}\nACCURACY 0.000001\nHEADERROR 0.00001\nFLOWCHANGE 0.00001\nUNBALANCED STOP\n'
                   'CHECKFREQ 5\nMAXCHECK 1000\n[TIMES]\nDURATION 0\n[REPORT]\nSTATUS NO\n[END]\n')


def _pieces(network):
    beside = {}
    for link in network.links:
        beside.setdefault(link['from'], []).append(link['to'])
        beside.setdefault(link['to'], []).append(link['from'])
    seen, pieces = set(), []
    for start in beside:
        if start in seen:
            continue
        piece, todo = [], [start]
        seen.add(start)
        while todo:
            point = todo.pop()
            piece.append(point)
            fresh = [other for other in beside[point] if other not in seen]
            seen.update(fresh)
            todo += fresh
        pieces.append(piece)
    return pieces


def _run(models, seconds):
    if not os.path.exists(os.path.join(FOLDER, 'node_modules', 'epanet-js', 'package.json')):
        print(f'the engine that flows are compared with is not installed in {os.path.relpath(FOLDER, house.TOP)}: '
              'tests/run installs it, with node and npm, from a package registry that can be reached. What is not compared has not passed.')
        sys.exit(1)
    said = subprocess.run(['node', os.path.join(HERE, 'engine.cjs'), FOLDER], input=json.dumps(models), capture_output=True, text=True, timeout=seconds)
    if said.returncode != 0:
        print('the engine does not run:\n' + said.stderr[-1500:])
        sys.exit(1)
    return json.loads(said.stdout)


class Solved:
    """What the engine makes of networks: `flows` by network and link, `missing` why there are none."""

    def __init__(self, networks, seconds=100):
        self.flows, self.missing = {}, {}
        for pressure_breaker in (False, True):
            models = {}
            for network in networks:
                if network.name in self.flows:
                    continue
                try:
                    models[network.name] = model(network, pressure_breaker)
                except CannotSay as reason:
                    self.missing.setdefault(network.name, str(reason))
            for name, answer in _run(models, seconds).items() if models else ():
                if 'failed' in answer:
                    self.missing[name] = answer['failed']
                elif answer['trials'] >= TRIALS or answer['error'] > 1e-5:
                    self.missing[name] = f'no balance in {TRIALS} trials'
                else:
                    self.flows[name] = answer['flows']
                    self.missing.pop(name, None)
