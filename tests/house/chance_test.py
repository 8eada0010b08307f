"""Nothing in an output may depend on hash order, addresses, time or the machine."""
import re

import house

report = house.Report('chance')
declared = {}   # folder -> names of unordered containers
for path in house.cpp_files():
    code = house.take_apart(house.text_of(path))[0]
    folder = path.rsplit('/', 1)[0]
    for match in re.finditer(r'unordered_(?:map|set|multimap|multiset)\s*<', code):
        depth, at = 1, match.end()
        while at < len(code) and depth:
            depth += {'<': 1, '>': -1}.get(code[at], 0)
            at += 1
        name = re.match(r'\s*&?\s*([A-Za-z_]\w*)', code[at:])
        if name:
            declared.setdefault(folder, set()).add(name.group(1))
for path in house.cpp_files():
    code = house.take_apart(house.text_of(path))[0]
    names = declared.get(path.rsplit('/', 1)[0], set())
    for match in re.finditer(r'\bfor\s*\([^;(){}]*:\s*([\w.\->]+)\s*\)', code):
        last = re.split(r'\.|->', match.group(1))[-1]
        line = code.count('\n', 0, match.start()) + 1
        report.check(last not in names, f'{path}:{line}: goes through `{last}` in the order of its hashes')
    for word in ('__DATE__', '__TIME__', 'std::rand', 'srand', 'random_device', 'system_clock', 'steady_clock', 'gettimeofday',
                 'clock_gettime', 'std::time', 'hardware_concurrency', 'long double'):
        report.check(word not in code, f'{path}: uses {word}')
    report.check(not re.search(r'reinterpret_cast<\s*(?:std::)?uintptr_t', code), f'{path}: makes a number of an address')
report.finish()
