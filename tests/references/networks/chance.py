"""Closed loops by chance, as many as seeds: circulators in parallel, in series and on close tees, mains with direct and
reverse return, ties across, valves and checks, some circuits shut, water warm or thick. Made so that the engine can say them."""
import random

from described import Network

TUBES = (0.475, 0.569, 0.811, 1.055, 1.291)             # in
VISCOSITIES = (3.82107e-06, 5.1e-06, 1.2e-05, 3.1e-05)  # ft2/s: hot water to cold glycol


class _Maker:
    def __init__(self, seed):
        self.draw, self.links = random.Random(seed), []

    def between(self, low, high):
        return round(self.draw.uniform(low, high), 3)

    def add(self, kind, begins, ends, **more):
        link = {'id': f'k{len(self.links) + 1}', 'from': begins, 'to': ends, 'type': kind, **more}
        self.links.append(link)
        return link

    def pipe(self, begins, ends, low, high, bore):
        return self.add('pipe', begins, ends, length=self.between(low, high), bore=bore, rough=self.draw.choice((5e-06, 5e-06, 0.00015)),
                        K=self.between(0, 20))

    def curve(self, head, flow):
        """A falling curve that ends at about this flow: by a power law through three points, or five that are joined."""
        if self.draw.random() < 0.5:
            return {'type': 'power', 'points': [[0, head], [round(0.5 * flow, 3), round(0.78 * head, 3)], [flow, round(0.25 * head, 3)]]}
        shares = ((0, 1), (0.3, 0.96), (0.55, 0.82), (0.8, 0.55), (1, 0.2))
        return {'type': 'pump', 'points': [[round(q * flow, 3), round(h * head, 3)] for q, h in shares]}

    def pump(self, begins, ends, curve, speed):
        return self.add(curve['type'], begins, ends, points=curve['points'], speed=speed)


def _driven(maker, flow):
    """From `r` to `b`: one circulator, two side by side with a check behind each, or two in a row."""
    curve = maker.curve(maker.between(10, 28), flow)
    form = maker.draw.choice(('one', 'beside', 'behind'))
    if form == 'one':
        maker.pump('r', 'b', curve, maker.between(0.8, 1.1))
    elif form == 'behind':
        maker.pump('r', 'b1', curve, 1)
        maker.pump('b1', 'b', curve, 1)
    else:
        for side, speed in (('x', 1), ('y', maker.between(0.6, 1))):
            maker.pump('r', 'b' + side, curve, speed)
            maker.add('check', 'b' + side, 'b', cv=maker.between(10, 25))


def _circuits(maker, count):
    reverse = maker.draw.random() < 0.4
    for n in range(1, count + 1):
        maker.pipe('s' + str(n - 1), 's' + str(n), 3, 30, 1.291)
        if reverse and n > 1:
            maker.pipe('e' + str(n - 1), 'e' + str(n), 3, 30, 1.291)
        elif not reverse and n < count:
            maker.pipe('e' + str(n + 1), 'e' + str(n), 3, 30, 1.291)
        bore = maker.draw.choice(TUBES[:4])
        maker.add('cv', f's{n}', f'a{n}', cv=maker.between(0.8, 9), shut=n > 1 and maker.draw.random() < 0.15)
        maker.pipe(f'a{n}', f'c{n}', 30, 220, bore)
        if maker.draw.random() < 0.5:
            maker.add('check', f'c{n}', f'e{n}', cv=maker.between(6, 15))
        else:
            maker.pipe(f'c{n}', f'e{n}', 5, 60, bore)
    for _ in range(maker.draw.randint(0, 2) if count > 2 else 0):
        one, other = maker.draw.sample(range(1, count + 1), 2)
        maker.pipe(f'c{one}', f'c{other}', 20, 120, maker.draw.choice(TUBES[:3]))
    return f'e{count}' if reverse else 'e1'


def _close_tees(maker, begins, ends):
    """A loop with a circulator of its own, on two tees close together."""
    maker.pipe(begins, ends, 0.3, 0.6, 1.291)
    maker.pump(begins, begins + 't', maker.curve(maker.between(6, 14), maker.between(4, 9)), 1)
    maker.pipe(begins + 't', ends, 60, 180, 0.811)


def loop(seed):
    maker = _Maker(seed)
    count = maker.draw.randint(2, 6)
    _driven(maker, maker.between(3, 7) * count)
    maker.add('cv', 'b', 'h', cv=maker.between(8, 30))
    tees = maker.draw.random() < 0.4
    if tees:
        _close_tees(maker, 'h', 'h2')
    maker.pipe('h2' if tees else 'h', 's0', 5, 30, 1.291)
    last = _circuits(maker, count)
    maker.pipe(last, 'r', 5, 40, 1.291)
    viscosity = maker.draw.choice(VISCOSITIES)
    return Network(f'chance_{seed}', f'{count} circuits', maker.links, {}, {}, viscosity)
