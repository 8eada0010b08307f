"""Comparing flows: within what, and the table that a test prints."""
import math

from engine import GPM_PER_CFS


SHOWN_FROM = 0.1                                        # gpm; below it a part of the flow says little


def reynolds(network, link, flow):
    return abs(flow) / GPM_PER_CFS * 4 / math.pi / (link['bore'] / 12) / network.viscosity


def in_transition(network, flows, low=2000, high=4000):
    """Pipes whose flow is neither laminar nor turbulent: there the friction laws of good books differ by a tenth."""
    return [link['id'] for link in network.links
            if link['type'] == 'pipe' and low < reynolds(network, link, flows[link['id']]) < high]


class Worst:
    """The largest difference as a part of the flow, and all that are beyond their tolerance."""

    def __init__(self):
        self.share, self.where, self.beyond, self.compared = 0.0, '', [], 0

    def see(self, where, found, wanted, share, least):
        self.compared += 1
        if found is None:
            self.beyond.append(f'{where}: not known, and not {wanted:.5g} gpm')
            return
        difference = abs(found - wanted)
        if abs(wanted) >= SHOWN_FROM and difference / abs(wanted) > self.share:
            self.share, self.where = difference / abs(wanted), where
        if difference > max(share * abs(wanted), least):
            self.beyond.append(f'{where}: {found:.6g} gpm and not {wanted:.6g} gpm, within {share * 100:g} % or {least:g} gpm')

    def shown(self):
        return f'{self.share * 100:8.4f} %' if self.compared else '         -'


    def add(self, other):
        if other.share > self.share:
            self.share, self.where = other.share, other.where
        self.beyond += other.beyond
        self.compared += other.compared


class Table:
    """One line for each network: what differs how much, and why it may."""

    def __init__(self, title, *columns):
        print(title)
        print(f'{"":44}{"legs":>5}' + ''.join(f'{column:>20}' for column in columns) + '  remarks')

    def row(self, name, legs, worst, remarks=''):
        print(f'{name:44}{legs:5}' + ''.join(f'{one.shown() if one else "-":>20}' for one in worst) + ('  ' + remarks if remarks else ''))


def library_against(worst, network, found, wanted, transition):
    """The half percent, two percent where the flow is in transition, and a hundredth of a gpm."""
    for link in network.links:
        name = link['id']
        worst.see(f'{network.name}, {name}', found.get(name), wanted[name], 0.02 if name in transition else 0.005, 0.01)
