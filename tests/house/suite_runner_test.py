"""The runner of suites must fail where it ought to: it is given suites and a stand-in for the program."""
import json
import os
import subprocess
import sys
import tempfile

import house

report = house.Report('suite_runner')
runner = next((word for word in sys.argv[1:] if os.path.basename(word) == 'suite_runner'), None)
if not runner:
    print('no suite_runner was built; name it as an argument')
    sys.exit(1)

# Prints the JSON or text that lies beside the job, so that a suite can say what the program finds.
STAND_IN = '''#!/bin/sh
case "$*" in
  *"--format json"*) cat result.json ;;
  *) cat result.txt; echo complaint >&2; exit 1 ;;
esac
'''
RESULT = {
    'notices': [{'code': 'names.odd', 'headline': 'an odd `x`', 'place': {'path': 'job.drip', 'line': 2}}],
    'findings': [
        {'rule': 'a.low', 'outcome': 'breaks', 'sentence': 'too low', 'place': {'path': 'job.drip', 'line': 1}},
        {'rule': 'a.high', 'outcome': 'holds', 'sentence': 'fine', 'place': {'path': 'job.drip', 'line': 1}},
        {'rule': 'a.wide', 'outcome': 'open', 'sentence': 'who knows', 'place': {'path': 'job.drip', 'line': 3}},
    ],
}
FILES = f'```file result.json\n{json.dumps(RESULT)}\n```\n```file result.txt\nplain words\n```\n'
GOOD = '```drip job.drip\none   # breaks a.low; holds a.high\ntwo   # says names.odd "odd `x`"\nthree # open a.wide\n```\n'


def run(suite, accept=False, folder='suites'):
    with tempfile.TemporaryDirectory() as here:
        os.makedirs(os.path.join(here, folder))
        program = os.path.join(here, 'dripleg')
        with open(program, 'w') as file:
            file.write(STAND_IN)
        os.chmod(program, 0o755)
        path = os.path.join(here, folder, 'one.md')
        with open(path, 'w') as file:
            file.write(suite)
        environment = {k: v for k, v in os.environ.items() if k != 'DRIPLEG_ACCEPT'}
        if accept:
            environment['DRIPLEG_ACCEPT'] = '1'
        done = subprocess.run([os.path.abspath(runner), path, program], capture_output=True, text=True, env=environment)
        with open(path) as file:
            return done.returncode, done.stdout + done.stderr, file.read()


def expect(name, suite, status, *words, **more):
    code, said, _ = run(suite, **more)
    report.check(code == status, f'{name}: exit {code} instead of {status}\n{said}')
    for word in words:
        report.check(word in said, f'{name}: does not say `{word}`\n{said}')


head = '# Suite\n\n## one\n' + FILES
expect('everything as expected', head + GOOD, 0, '1 tests, 0 failures')
expect('a break too many', head + GOOD.replace('breaks a.low; ', ''), 1, 'unexpected at job.drip:1: breaks a.low "too low"')
expect('a notice too many', head + GOOD.replace('# says names.odd "odd `x`"', ''), 1, 'unexpected at job.drip:2: says names.odd')
expect('other words', head + GOOD.replace('"odd `x`"', '"even"'), 1, 'expected here and not found: says names.odd "even"', 'one.md:12')
expect('another line', head + GOOD.replace('# open a.wide', '').replace('one   #', 'one   # open a.wide;'), 1, 'not found: open a.wide')
expect('another rule', head + GOOD.replace('holds a.high', 'holds a.deep'), 1, 'not found: holds a.deep')
expect('breaks looked at', head + GOOD.replace('job.drip\n', 'job.drip only=a.high\n').replace('breaks a.low; ', ''), 0)
expect('an output', head + GOOD + '```output\nplain words\ncomplaint\nexit 1\n```\n', 0)
expect('another output', head + GOOD + '```output\nplain word\ncomplaint\nexit 1\n```\n', 1, 'the output is another', 'expected | plain word')
expect('an exit forgotten', head + GOOD + '```output\nplain words\ncomplaint\n```\n', 1, 'found    | exit 1')
expect('a command', head + '```command\necho a; echo b >&2; exit 4\n```\n```output\na\nb\nexit 4\n```\n', 0)
expect('a command that differs', head + '```command\necho a\n```\n```output\nb\n```\n', 1, 'the output is another')
expect('the program by name', head + '```command\ndripleg check x\n```\n```output\nplain words\ncomplaint\nexit 1\n```\n', 0)
expect('no test', '# Suite\n', 1, 'there is no test in this file')
expect('a block without a name', '## one\n```drip\nx\n```\n', 1, 'wants a file name')
expect('not JSON', '## one\n```file result.json\nnothing\n```\n```file result.txt\nx\n```\n' + GOOD, 1, 'gave no JSON')
expect('a second version of a job is judged by itself', head + GOOD + GOOD.replace('one   #', 'one   # says x.y;'), 1, 'not found: says x.y', '1 failures')
expect('pages may have blocks without a name', head + '```drip\nx\n```\n', 0, folder='docs')
expect('the form of a piece', head.replace('names.odd', 'syntax.odd') + '```drip fragment\nx\ny\n```\n', 1, 'syntax.odd', folder='docs')

code, said, after = run(head + GOOD + '```output\nold\n```\n\nend\n## two\n```command\necho new\n```\n```output\n```\n', accept=True)
report.check(code == 0, f'accept: exit {code}\n{said}')
report.check('```output\nplain words\ncomplaint\nexit 1\n```\n\nend\n' in after and '```output\nnew\n```\n' in after, f'accept: wrote\n{after}')
code, said, _ = run(after)
report.check(code == 0, f'what was accepted does not pass\n{said}')
report.finish()
