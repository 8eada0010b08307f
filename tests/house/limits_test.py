"""Every limit is used by the code that it bounds, and only the table holds its number."""
import re

import house

table = house.text_of('compiler/base/limits.def')
names = re.findall(r'^LIMIT\((\w+),', table, re.M)
report = house.Report('limits')
used = '\n'.join(house.take_apart(house.text_of(p))[0] for p in house.cpp_files() if 'base/limits.' not in p)
tests = '\n'.join(house.text_of(p) for p in house.files('tests/unit', 'tests/suites', endings=('.cpp', '.hpp', '.md'))
                  if not p.startswith('tests/suites/commands/'))
for name in names:
    report.check(re.search(rf'\b{name}\b', used), f'{name}: no code takes this limit from the table')
    report.check(re.search(rf'\b{name}\b', tests), f'{name}: no test names this limit')
report.finish()
