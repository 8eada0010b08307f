"""A layout that is another's variant: its title instead, a part dropped, a section behind a named one, in its order."""
import os
import subprocess
import sys
import tempfile

import house

PROGRAM = os.path.abspath(sys.argv[1])
report = house.Report('layouts')

VARIANT = '''layout house_report is install_report {
  title "House: {job.title}"
  drop  margins
  after gas {
    section checks "Our own checks" {
      text "What we hold ourselves to."
    }
  }
}
'''


def headings(layout, library, out):
    subprocess.run([PROGRAM, 'report', os.path.join(house.TOP, 'examples', 'propane_cabin.drip'), '--library', library, '--layout', layout, '--out', out],
                   check=False, stdout=subprocess.DEVNULL, cwd=house.TOP)
    with open(os.path.join(out, f'propane_cabin.{layout}.md'), encoding='utf-8') as paper:
        return [line.strip() for line in paper if line.startswith('#')]


with tempfile.TemporaryDirectory() as folder:
    with open(os.path.join(folder, 'variant.drip'), 'w', encoding='utf-8') as file:
        file.write(VARIANT)
    library = f'stdlib:reports/layouts:{folder}'
    plain = headings('install_report', library, os.path.join(folder, 'a'))
    variant = headings('house_report', library, os.path.join(folder, 'b'))
words = [line.lstrip('# 0123456789') for line in variant]
report.check(bool(words) and words[0].startswith('House: '), 'the variant has not its own title')
report.check(not any(word.startswith('Margins') for word in words), 'a dropped section is there')
report.check('Our own checks' in words and words.index('Our own checks') == words.index('Gas') + 1, 'a section behind a named one is not there')
report.check(len(variant) == len(plain), 'one part dropped and one added make another number of parts')
report.finish()
