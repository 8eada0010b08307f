"""docs/rules/ is what the library says of its rules, and every rule is on a page."""
import os
import sys

import house
import make_rule_pages

PROGRAM = os.path.abspath(sys.argv[1])
report = house.Report('rule pages')
if os.environ.get('DRIPLEG_ACCEPT') == '1':
    make_rule_pages.write(PROGRAM)
make_rule_pages.compare(PROGRAM, report)
rules = make_rule_pages.listed(PROGRAM)
headings = [line for name, text in make_rule_pages.written().items() if name != 'README.md' for line in text.splitlines()]
for rule, _, _ in rules:
    report.check(headings.count(f'## {rule}') == 1, f'{rule}: is not on just one page')
report.check(len(rules) > 0, 'the program lists no rule')
report.finish()
