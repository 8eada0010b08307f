"""A folder includes lower floors only, and each third-party library has one door."""
import re

import house

# Who may include whom, besides itself: lower floors, as the table of rooms says.
FLOORS = {
    'base': 0, 'notices': 1, 'syntax': 2, 'quantities': 2, 'tidy': 3, 'meaning': 3, 'networks': 4, 'evaluate': 5,
    'judge': 6, 'settle': 7, 'remedy': 7, 'compare': 7, 'reports': 8, 'project': 9, 'server': 10, 'commands': 10,
}
DOORS = {
    r'tao/pegtl': r'compiler/syntax/[a-z_]+\.[ch]pp',
    r'cmark': r'reports/prose\.cpp',
    r'CLI/': r'compiler/commands/arguments\.cpp',
    r'nlohmann/': r'(?!)',
    r'benchmark/': r'(?!)',
    r'doctest/': r'(?!)',
}
# Headers of the standard that cost start time, depend on a machine, or bring order of chance.
FORBIDDEN = {'iostream', 'fstream', 'sstream', 'ostream', 'istream', 'iomanip', 'regex', 'locale', 'clocale', 'chrono',
             'ctime', 'time.h', 'random', 'thread', 'codecvt', 'cctype', 'ctype.h'}
NEVER_BELOW_PROJECT = {'cstdlib': r'\bgetenv\b', 'unistd.h': None, 'fcntl.h': None, 'dirent.h': None, 'sys/stat.h': None,
                       'filesystem': None}

report = house.Report('layers')
includes = {}
for path in house.cpp_files():
    found = re.findall(r'^\s*#\s*include\s*[<"]([^>"]+)[>"]', house.text_of(path), re.M)
    includes[path] = found
    room = path.split('/')[1] if path.startswith('compiler/') else 'reports'
    if path.count('/') == 1 and path.startswith('compiler/'):
        room = 'commands'
    report.check(room in FLOORS, f'{path}: `{room}` stands on no floor')
    floor = FLOORS.get(room, 0)
    code = house.take_apart(house.text_of(path))[0]
    for include in found:
        other = include.split('/')[0]
        if '/' in include and other in FLOORS:
            report.check(other == room or FLOORS[other] < floor, f'{path}: includes {include}, which is no lower floor')
        for door, allowed in DOORS.items():
            if re.match(door, include):
                report.check(re.fullmatch(allowed, path), f'{path}: {include} has its door elsewhere')
        report.check(include not in FORBIDDEN, f'{path}: <{include}> is not used here')
        if floor < FLOORS['project'] and include in NEVER_BELOW_PROJECT:
            word = NEVER_BELOW_PROJECT[include]
            report.check(word and not re.search(word, code), f'{path}: <{include}> reaches outside the program')
    report.check(not re.search(r'\bthrow\b', code), f'{path}: throws')
    report.check(not re.search(r'\bsetlocale\b|\bstrto[dfl]\b|\bsprintf\b|\batof\b', code), f'{path}: depends on the locale')
    report.check('getenv' not in code or path == 'compiler/commands/run.cpp', f'{path}: reads the environment')


# No header that another room includes may bring a third-party library along.
def brings(header, seen):
    for include in includes.get(header, []):
        for door in DOORS:
            if re.match(door, include):
                return include
        below = 'reports/' + include[8:] if include.startswith('reports/') else 'compiler/' + include
        if below in includes and below not in seen:
            seen.add(below)
            deeper = brings(below, seen)
            if deeper:
                return deeper
    return None


for path, found in includes.items():
    room = path.split('/')[1] if path.startswith('compiler/') else 'reports'
    for include in found:
        if '/' not in include or include.split('/')[0] not in FLOORS or include.split('/')[0] == room:
            continue
        header = include if include.startswith('reports/') else 'compiler/' + include
        brought = brings(header, {header})
        report.check(not brought, f'{path}: {include} brings {brought} along')
report.finish()
