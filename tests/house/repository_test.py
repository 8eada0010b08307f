"""What no file of the repository may hold: a machine's paths, hosts of package registries, loose ends."""
import os
import re

import house

# Put together from pieces, so that this file does not hold them itself.
MACHINE_PATHS = ['/' + 'work/', '/' + 'tmp/', '/' + 'tmp\\b', '/' + 'home/[a-z]', '/' + 'root/', '\\.\\./' + 'shared', '/' + 'Users/',
                 '/' + 'var/lib/', '/' + 'mnt/']
HOSTS = ['deb\\.' + 'debian', 'pypi' + '\\.org', 'files\\.' + 'pythonhosted', 'registry\\.' + 'npmjs', 'proxy\\.' + 'golang', 'crates' + '\\.io',
         'localhost:\\d', '127\\.0\\.0\\.1']
LOOSE_ENDS = ['TO' + 'DO', 'FIX' + 'ME', '\\bXX' + 'X\\b', 'HA' + 'CK']
TOP_LEVEL = {'CMakeLists.txt', 'README.md', 'DEVELOPERS.md', 'LICENSE', 'compiler', 'stdlib', 'reports', 'tests', 'examples', 'editors',
             'docs', '.ci', '.clang-format', '.gitignore', '.gitattributes', '.git'}
BINARY = ('.png', '.pdf', '.gz', '.ico')

report = house.Report('repository')
for path in house.files():
    if path.endswith(BINARY):
        continue
    text = house.text_of(path)
    for pattern in MACHINE_PATHS + HOSTS + LOOSE_ENDS:
        match = re.search(pattern, text)
        line = text.count('\n', 0, match.start()) + 1 if match else 0
        report.check(not match, f'{path}:{line}: holds `{match.group(0) if match else ""}`')
    report.check('\r' not in text or 'hostile' in path, f'{path}: has carriage returns')
for name in os.listdir(house.TOP):
    report.check(name in TOP_LEVEL or name == 'out' or name.startswith('build'), f'{name}: is no part of the top level')
for name in ('tests/run', 'examples/run', '.ci/run'):
    report.check(os.access(os.path.join(house.TOP, name), os.X_OK), f'{name}: cannot be run')

# Every folder says in at most ten lines what is in it.
FOLDERS = ['reports', 'stdlib', 'examples', 'editors', 'docs', 'tests']
for above in ('compiler', 'stdlib', 'tests'):
    for name in sorted(os.listdir(os.path.join(house.TOP, above))):
        here = os.path.join(house.TOP, above, name)
        if os.path.isdir(here) and any(files for _, _, files in os.walk(here)) and name not in house.LEFT_OUT:
            FOLDERS.append(f'{above}/{name}')
for folder in FOLDERS:
    readme = os.path.join(house.TOP, folder, 'README.md')
    there = os.path.exists(readme)
    report.check(there, f'{folder}: has no README.md')
    if there:
        lines = house.text_of(f'{folder}/README.md').splitlines()
        report.check(0 < len(lines) <= 10, f'{folder}/README.md: {len(lines)} lines; ten are the most')
report.finish()
