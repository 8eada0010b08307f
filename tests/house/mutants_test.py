"""Jobs with slips made by chance: whatever is done to a text, the program says what is wrong and ends. The seed is fixed."""
import os
import random
import subprocess
import sys
import tempfile

import house

ROUNDS = 300
SECONDS = 2
report = house.Report('mutants')
program = next((word for word in sys.argv[1:] if os.path.basename(word).startswith('dripleg')), None)
if not program:
    print('no program was built; name it as an argument')
    sys.exit(1)
jobs = [house.text_of(path) for path in house.files('examples', 'tests/jobs', endings=('.drip',))]
report.check(jobs, 'there is no job to spoil')
PIECES = ['{', '}', '(', ')', '[', ']', '"', '?', '->', '..', '+-', '%', ',', ';', '=', '#', '\n', '\t', ' ', '-', '1e308', '0', '-1', '/ 0',
          'about', 'with', 'of', 'is', 'like', 'as', 'none', 'yes', 'for', 'use', 'case', 'accept', 'per', 'straight', 'язык', '\u202e', '\x00', '𝟙']


def spoil(text, chance):
    """A few slips: words left out, doubled, exchanged, cut, or taken from elsewhere in the job."""
    for _ in range(chance.randint(1, 6)):
        words = text.split(' ')
        at = chance.randrange(len(words))
        slip = chance.randrange(8)
        if slip == 0:
            del words[at]
        elif slip == 1:
            words.insert(at, words[at])
        elif slip == 2:
            words[at] = chance.choice(PIECES)
        elif slip == 3:
            words[at] = chance.choice(words)
        elif slip == 4 and words[at]:
            where = chance.randrange(len(words[at]))
            words[at] = words[at][:where] + chance.choice(PIECES) + words[at][where + 1:]
        elif slip == 5:
            other = chance.randrange(len(words))
            words[at], words[other] = words[other], words[at]
        elif slip == 6:
            lines = text.split('\n')
            line = chance.randrange(len(lines))
            lines.insert(chance.randrange(len(lines)), lines.pop(line) if chance.random() < 0.5 else lines[line])
            words = '\n'.join(lines).split(' ')
        else:
            text = ' '.join(words)
            words = text[:chance.randrange(len(text) + 1)].split(' ') if chance.random() < 0.3 else words
        text = ' '.join(words) or ' '
    return text


chance = random.Random(20_26)
with tempfile.TemporaryDirectory() as here:
    place = os.path.join(here, 'job.drip')
    for number in range(ROUNDS):
        text = spoil(chance.choice(jobs), chance)
        with open(place, 'w', encoding='utf-8') as file:
            file.write(text)
        try:
            done = subprocess.run([os.path.abspath(program), 'check', place], capture_output=True, timeout=SECONDS)
            status = done.returncode
        except subprocess.TimeoutExpired:
            status = 'more than two seconds'
        if status not in (0, 1, 2):
            kept = os.path.join(tempfile.gettempdir(), f'mutant_{number}.drip')
            with open(kept, 'w', encoding='utf-8') as file:
                file.write(text)
            report.check(False, f'mutant {number}: ended with {status}; kept as {kept}')
        else:
            report.check(status != 2 or done.stdout + done.stderr, f'mutant {number}: says nothing')
report.finish()
