"""Reads the project's own files for the tests of the house, and takes C++ apart far enough for them."""
import os
import re
import sys

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
LEFT_OUT = {'.git', 'out', '__pycache__', '.cache', 'node_modules'}


def files(*folders, endings=('',)):
    """Paths relative to the top, sorted; what is built is left out."""
    found = []
    for folder in folders or ('.',):
        for here, names, plain in os.walk(os.path.join(TOP, folder)):
            names[:] = sorted(n for n in names if n not in LEFT_OUT and not n.startswith('build'))
            found += [os.path.relpath(os.path.join(here, n), TOP) for n in plain if n.endswith(tuple(endings))]
    return sorted(set(found))


def cpp_files(*folders):
    return files(*(folders or ('compiler', 'reports')), endings=('.cpp', '.hpp', '.def', '.S'))


def text_of(path):
    with open(os.path.join(TOP, path), encoding='utf-8', errors='surrogateescape') as file:
        return file.read()


_PIECES = re.compile(
    r'//[^\n]*|/\*.*?\*/|R"(?P<mark>[^()\s\\]{0,16})\(.*?\)(?P=mark)"|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])+\'', re.S)


def take_apart(text):
    """(code without literals and comments, string literals, comments), literals and comments with their lines."""
    literals, comments = [], []

    def piece(match):
        whole = match.group(0)
        line = text.count('\n', 0, match.start()) + 1
        if whole.startswith('/'):
            comments.append((line, whole))
        elif whole.startswith('R"'):
            literals.append((line, whole[whole.index('(') + 1:whole.rindex(')')]))
        elif whole.startswith('"'):
            literals.append((line, whole[1:-1].replace('\\"', '"').replace('\\n', '\n')))
        return '\n' * whole.count('\n') + '""' if whole[0] in 'R"' else '\n' * whole.count('\n') + ' '

    # A stroke between digits is no character literal.
    code = _PIECES.sub(piece, re.sub(r"(?<=[0-9A-Fa-f])'(?=[0-9A-Fa-f])", '_', text))
    return code, literals, comments


def words_of(identifier):
    """vent_limit, VentLimit, vent2 -> the plain words in it, lower-case."""
    parts = re.sub(r'([a-z0-9])([A-Z])', r'\1_\2', identifier).replace('.', '_').split('_')
    return [re.sub(r'\d+$', '', p).lower() for p in parts if p]


class Report:
    """Gathers what is wrong; finish() prints it and gives the exit status."""

    def __init__(self, name):
        self.name, self.wrong, self.looked_at = name, [], 0

    def check(self, right, words):
        self.looked_at += 1
        if not right:
            self.wrong.append(words)

    def finish(self):
        for words in self.wrong:
            print(words)
        print(f'{self.name}: {self.looked_at} looked at, {len(self.wrong)} wrong')
        if self.looked_at == 0:
            print('nothing was looked at: the test itself is broken')
        sys.exit(1 if self.wrong or self.looked_at == 0 else 0)
