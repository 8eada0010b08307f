"""Writes docs/rules/ from what the program says of its rules: `make_rule_pages.py PROGRAM`, or with --check compares."""
import os
import re
import subprocess
import sys

import house

FOLDER = os.path.join(house.TOP, 'docs', 'rules')
MANY = 20    # a family with more rules than this is parted by the next word of their names


def said(program, *words):
    return subprocess.run([program, *words], capture_output=True, text=True, check=True).stdout


def listed(program):
    """(name, weight, sentence) of every rule, in the order of the program."""
    rows = [re.fullmatch(r'(\w+\.\w+)\s+(\w+)\s+(.+)', line) for line in said(program, 'rules').splitlines()]
    return [row.groups() for row in rows if row]


def families(names):
    """name -> page: its first word, and where there are many of that the second too, if it has fellows."""
    def first(name):
        return name.split('.')[0]

    def second(name):
        return first(name) + '_' + name.split('.')[1].split('_')[0]

    pages = {}
    for name in names:
        many = sum(first(other) == first(name) for other in names) > MANY
        fellows = sum(second(other) == second(name) for other in names) > 1
        pages[name] = second(name) if many and fellows else first(name)
    return pages


def cell(text):
    return text.replace('|', '\\|')


def pages(program):
    """file name -> text."""
    rules = listed(program)
    page_of = families([name for name, _, _ in rules])
    made = {}
    for page in sorted(set(page_of.values())):
        lines = [f'# {page.replace("_", ": ", 1)}', '', '[All rules](README.md). This page is made from the library.', '']
        for name, _, _ in rules:
            if page_of[name] != page:
                continue
            inside = False
            for line in said(program, 'rules', name).rstrip('\n').split('\n'):
                inside ^= line.startswith('```')
                lines.append('#' + line if line.startswith('#') and not inside else line)
            lines.append('')
        made[page + '.md'] = '\n'.join(lines)
    lines = ['# Rules', '', f'The {len(rules)} rules of the library; each is in force under the codes that hold its sources. A *danger* is never',
             'accepted, a *fault* may be, an *advice* never breaks a job. These pages are made from the library.', '',
             '| rule | weight | what it says |', '|---|---|---|']
    for name, weight, sentence in rules:
        lines.append(f'| [{name}]({page_of[name]}.md#{name.replace(".", "")}) | {weight} | {cell(sentence)} |')
    made['README.md'] = '\n'.join(lines) + '\n'
    return made


def written():
    if not os.path.isdir(FOLDER):
        return {}
    return {name: house.text_of(f'docs/rules/{name}') for name in sorted(os.listdir(FOLDER))}


def write(program):
    made = pages(program)
    os.makedirs(FOLDER, exist_ok=True)
    for name in written():
        if name not in made:
            os.remove(os.path.join(FOLDER, name))
    for name, text in made.items():
        with open(os.path.join(FOLDER, name), 'w', encoding='utf-8') as file:
            file.write(text)


def compare(program, report):
    made, there = pages(program), written()
    for name in sorted(made.keys() | there.keys()):
        report.check(made.get(name) == there.get(name), f'docs/rules/{name}: not what the library says; `tests/run --accept` makes it anew')


if __name__ == '__main__':
    words = [word for word in sys.argv[1:] if word != '--check']
    if len(words) != 1:
        sys.exit('make_rule_pages.py [--check] PROGRAM')
    if '--check' in sys.argv:
        outcome = house.Report('rule pages')
        compare(os.path.abspath(words[0]), outcome)
        outcome.finish()
    write(os.path.abspath(words[0]))
