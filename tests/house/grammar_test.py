"""docs/grammar.peg is the grammar: an interpreter of its notation reads every text that the parser reads, and refuses
what the parser refuses. It knows nothing of the compiler, so the page and the parser check one another."""
import re
import sys

import house

sys.setrecursionlimit(200_000)
TOKEN = re.compile(r'\s*(?:#[^\n]*\s*)*(?:(?P<re>~"(?:\\.|[^"\\])*")|(?P<lit>"(?:\\.|[^"\\])*")|(?P<def>\w+)\s*=(?!=)|(?P<name>\w+)|(?P<sign>[()/*+?&!]))')


def unquote(quoted):
    return quoted[1:-1].replace('\\n', '\n').replace('\\"', '"').replace('\\\\', '\\')


class Grammar:
    """Rules as nested tuples, matched with memory of what each rule found at each place."""

    def __init__(self, text):
        self.tokens, at = [], 0
        text = text.rstrip()
        while at < len(text):
            match = TOKEN.match(text, at)
            if not match:
                if re.fullmatch(r'\s*(?:#[^\n]*\s*)*', text[at:]):
                    break
                raise ValueError('grammar.peg: ' + text[at:at + 40])
            kind = match.lastgroup
            self.tokens.append((kind, match.group(kind)))
            at = match.end()
        self.rules, self.place = {}, 0
        while self.place < len(self.tokens):
            name = self.tokens[self.place][1]
            self.place += 1
            self.rules[name] = self.choice()

    def peek(self, sign):
        return self.place < len(self.tokens) and self.tokens[self.place] == ('sign', sign)

    def choice(self):
        options = [self.sequence()]
        while self.peek('/'):
            self.place += 1
            options.append(self.sequence())
        return options[0] if len(options) == 1 else ('or', options)

    def sequence(self):
        parts = []
        while self.place < len(self.tokens):
            kind, text = self.tokens[self.place]
            if kind == 'def' or (kind == 'sign' and text in '/)'):
                break
            parts.append(self.part())
        return parts[0] if len(parts) == 1 else ('all', parts)

    def part(self):
        kind, text = self.tokens[self.place]
        self.place += 1
        if kind == 'sign' and text in '&!':
            return ('ahead' if text == '&' else 'not', self.part())
        if kind == 'sign':
            inner = self.choice()
            self.place += 1   # the closing bracket
        elif kind == 're':
            inner = ('re', re.compile(text[2:-1].replace('\\"', '"').replace('\\\\\\\\', '\\\\')))
        elif kind == 'lit':
            inner = ('lit', unquote(text))
        else:
            inner = ('rule', text)
        for sign, how in (('*', 'many'), ('+', 'some'), ('?', 'maybe')):
            if self.peek(sign):
                self.place += 1
                return (how, inner)
        return inner

    def reads(self, text, rule='file'):
        self.text, self.memory, self.furthest = text, {}, 0
        return self.match(('rule', rule), 0) == len(text)

    def match(self, what, at):
        how, inner = what
        if how == 'lit':
            return at + len(inner) if self.text.startswith(inner, at) else None
        if how == 're':
            found = inner.match(self.text, at)
            return found.end() if found else None
        if how == 'rule':
            key = (inner, at)
            if key not in self.memory:
                self.memory[key] = None
                self.memory[key] = self.match(self.rules[inner], at)
                self.furthest = max(self.furthest, at)
            return self.memory[key]
        if how == 'all':
            for part in inner:
                at = self.match(part, at)
                if at is None:
                    return None
            return at
        if how == 'or':
            for option in inner:
                end = self.match(option, at)
                if end is not None:
                    return end
            return None
        if how in ('ahead', 'not'):
            return at if (self.match(inner, at) is not None) == (how == 'ahead') else None
        if how == 'maybe':
            end = self.match(inner, at)
            return at if end is None else end
        count = 0
        while True:
            end = self.match(inner, at)
            if end is None or (end == at and count):
                break
            at, count = end, count + 1
        return at if count or how == 'many' else None


REFUSED = ['a { x 7inwc }', 'a { x 14,600 W }', 'function f() gives x = a/b', 'function f() gives x = b -1', 'function f() gives x = a b',
           'function f() gives x = sum of a for b in c / 2', 'function f() gives x = a when b = c', 'a {', '}', 'a ->', '3 ft',
           'rule r { requires a }', 'rule r { require a = b }', 'rule r { for of in a }', 'agrees f() = 3 ft',
           'a { x = 3 }', 'a { x; }', 'a { "b }', 'a-b { }', 'function f() gives x = if a then b', 'a { // no\n}', 'a\n{ }',
           'a -> b with elbow', 'rule r { require a per b }', 'a { b [c, } ']
ACCEPTED = ['', '# only this', 'accept r.a for b[3] { until 2026-12-31, by "c" }', 'accept r for a -> b', 'a B1 B2 is c { }', 'case x for a in b { c [a] }',
            'kind k stock { }', 'a -> 5 ft 4 in -> b -> about 3 ft -> c   of 1 in d', 'kind k { needs c (a b) [at (d e)] }', 'use t 2026.1',
            'rule r { unknown breaks where a, was b.c, accepts_open }', 'function f() gives x = (a when b = c when d = e)', 'a f(\n b,\n c\n )',
            'rule r { for a in b, c in d\n where a.x is none }', 'function f() gives x = product of a for b in c', 'a { 3..5 ft }',
            'layout l { findings open where f.m < 0, grid for r in c where r.x { column "a" r } }', 'function f()\n  = 3\n  per practice "a" "b"']

report = house.Report('grammar')
grammar = Grammar(house.text_of('docs/grammar.peg'))
used = set(re.findall(r"\('rule', '(\w+)'\)", repr(grammar.rules)))
for name in sorted(used - set(grammar.rules)):
    report.check(False, f'grammar.peg: `{name}` is used and has no rule')
for name in sorted(set(grammar.rules) - used - {'file'}):
    report.check(False, f'grammar.peg: `{name}` is never used')
for path in house.files('tests/syntax_blocks', endings=('.drip',)):
    report.check(grammar.reads(house.text_of(path)), f'{path}: not read beyond byte {grammar.furthest}')
for text in ACCEPTED:
    report.check(grammar.reads(text), f'refused: {text!r}')
for text in REFUSED:
    report.check(not grammar.reads(text), f'accepted: {text!r}')
report.finish()
