"""Every code of the register is shown by a test and stands in docs/notices.md, which is made from the register."""
import os
import re

import house

ROW = re.compile(r'^NOTICE\((\w+),\s*"([^"]+)",\s*(error|warning|remark),\s*"((?:[^"\\]|\\.)*)"\)', re.M)
register = house.text_of('compiler/notices/register.def')
rows = ROW.findall(register)
report = house.Report('notices')
report.check(len(rows) == len(re.findall(r'^NOTICE\(', register, re.M)), 'register.def: a row is not in the usual form')

unit_tests = '\n'.join(house.text_of(p) for p in house.files('tests/unit', endings=('.cpp', '.hpp')))
suites = '\n'.join(house.text_of(p) for p in house.files('tests/suites', endings=('.md',)))
sources = '\n'.join(house.take_apart(house.text_of(p))[0] for p in house.cpp_files() if not p.endswith('register.def'))
for identifier, code, severity, about in rows:
    shown = re.search(rf'\bCode::{identifier}\b', unit_tests) or re.search(rf'\b{re.escape(code)}\b', unit_tests + suites)
    report.check(shown, f'{code}: no test shows it')
    report.check(re.search(rf'\b{identifier}\b', sources), f'{code}: nothing makes it')


def page():
    lines = ['# Notices', '', 'Every notice of `dripleg`, by code. An *error* keeps a job from being judged whole, a *warning* wants a look,',
             'a *remark* only says something. This page is made from the register of the compiler.', '']
    rooms = {}
    for row in rows:
        rooms.setdefault(row[1].split('.')[0], []).append(row)
    for room in sorted(rooms):
        lines += [f'## {room}', '', '| code | severity | about |', '|---|---|---|']
        for _, code, severity, about in sorted(rooms[room], key=lambda row: row[1]):
            about = about[0].upper() + about[1:].replace('\\"', '"').replace('|', '\\|')
            lines.append(f'| `{code}` | {severity} | {about}{"" if about.endswith(".") else "."} |')
        lines.append('')
    return '\n'.join(lines)


place = os.path.join(house.TOP, 'docs', 'notices.md')
if os.environ.get('DRIPLEG_ACCEPT') == '1':
    with open(place, 'w', encoding='utf-8') as file:
        file.write(page())
there = os.path.exists(place)
report.check(there and house.text_of('docs/notices.md') == page(), 'docs/notices.md is not what the register says; `tests/run --accept` makes it anew')
report.finish()
