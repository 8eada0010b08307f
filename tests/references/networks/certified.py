"""Flows checked without a solver, by laws written here anew: what comes to a point leaves it, and round every loop the drops
add up to nothing. Friction is Churchill's, by his own three lines."""
import math

G = 32.17405
CUBIC_FEET = 448.8311688                                # gpm per cfs
CV_FEET = 2.3087                                        # of 60 degF water for a psi, as the library has it


def churchill(re, rough):
    if re < 1:
        return 64 / re
    a = (2.457 * math.log(1 / ((7 / re) ** 0.9 + 0.27 * rough))) ** 16
    return 8 * ((8 / re) ** 12 + 1 / (a + (37530 / re) ** 16) ** 1.5) ** (1 / 12)


def _lift(link, flow):
    speed, points = link.get('speed', 1), link['points']
    q = flow / speed
    if link['type'] == 'power':
        (_, h0), (q1, h1), (q2, h2) = points
        c = math.log((h0 - h2) / (h0 - h1)) / math.log(q2 / q1)
        return speed ** 2 * (h0 - (h0 - h1) * math.copysign((abs(q) / q1) ** c, q))
    i = 1
    while i + 1 < len(points) and q > points[i][0]:
        i += 1
    (q0, h0), (q1, h1) = points[i - 1], points[i]
    return speed ** 2 * (h0 + (h1 - h0) * (q - q0) / (q1 - q0))


def drop(network, link, flow):
    if link['type'] == 'pipe':
        bore = link['bore'] / 12
        v = flow / CUBIC_FEET * 4 / (math.pi * bore ** 2)
        re = max(abs(v) * bore / network.viscosity, 1e-9)
        return (churchill(re, link['rough'] / bore) * link['length'] / bore + link['K']) * v * abs(v) / (2 * G)
    if link['type'] in ('cv', 'check'):
        return CV_FEET * flow * abs(flow) / link['cv'] ** 2
    return -_lift(link, flow)


def misfit(network, flows, least=0.001):
    """By how many gpm the flows are wrong at most, and where."""
    worst = (0.0, '')
    sums = {}
    for link in network.links:
        sums[link['from']] = sums.get(link['from'], 0) - flows[link['id']]
        sums[link['to']] = sums.get(link['to'], 0) + flows[link['id']]
        if link.get('shut') and flows[link['id']] != 0:
            return abs(flows[link['id']]), link['id']
        if link['type'] == 'check' and flows[link['id']] < -least:
            return -flows[link['id']], link['id']
    for point, left in sums.items():
        worst = max(worst, (abs(left), point))
    heads = {}
    held = [link for link in network.links if link['type'] == 'check' and flows[link['id']] < least]
    way = [link for link in network.links if not link.get('shut') and link not in held]
    for start in network.points():
        if start in heads:
            continue
        heads[start], todo = 0.0, [start]
        while todo:
            point = todo.pop()
            for link in way:
                if point not in (link['from'], link['to']):
                    continue
                lost = drop(network, link, flows[link['id']])
                other, head = (link['to'], heads[point] - lost) if link['from'] == point else (link['from'], heads[point] + lost)
                if other not in heads:
                    heads[other] = head
                    todo.append(other)
    for link in way:
        flow = flows[link['id']]
        slope = (drop(network, link, flow + 0.01) - drop(network, link, flow - 0.01)) / 0.02
        off = heads[link['from']] - heads[link['to']] - drop(network, link, flow)
        worst = max(worst, (abs(off) / max(slope, 0.05), link['id']))
    for link in held:                                   # a check that stands shut is pushed shut
        if heads[link['from']] - heads[link['to']] > 0.001:
            worst = max(worst, (heads[link['from']] - heads[link['to']], link['id']))
    return worst
