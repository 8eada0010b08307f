"""No fact of the trade in C++: no word of it, no name that the library declares, no number, no sentence of a report."""
import re

import house

# Words of the trade that may stand nowhere in the compiler's or the reports' C++: code, comments or messages.
TRADE = set('''
boiler boilers gas gases pipe pipes piping elbow elbows vent vents venting venter copper steel brass pvc cpvc pex csst polyethylene
flue chimney burner burners pump pumps circulator valve valves radiator radiators baseboard furnace appliance appliances propane
methane butane hydronic heating heater heat water steam condensate combustion sediment trap regulator regulators manifold tubing
tee tees thermostat duct air exhaust plumbing plumber hvac btu btuh mbh cfh cfm scfh inwc psi psig psia kpa mbar gpm therm therms
fahrenheit celsius inch inches feet ifgc imc ansi asme awwa csa nfpa hazen darcy colebrook moody reynolds weymouth
spitzglass glycol drywall attic brick glazing
'''.split())
# Words that are of the trade elsewhere and mean something else where they stand: folder -> words.
ELSEWHERE = {}
# Names that the library declares and that are words of the language, of programs or of plain English too.
# A name of two words (`gas_fitting`) is never among them.
PLAIN = set('''
one two all none rule rules case cases code codes source sources kind kinds job jobs site point points leg legs run runs net thing
things number numbers text texts date clock size sizes time length width depth height area volume angle ratio share scale level
levels amount rate count speed power energy force mass weight money current voltage difference pressure temperature head density
name names title page section figure figures chart bar bars tree graph list table tables column columns row rows cell cells
first last least most mean sum product max min path root branch through straight part parts place places room rooms zone floor
wall room ceiling door opening sign space shape form state mark marks status role owner author maker makers firm designer
reviewer authority start end open closed test tests reading readings result results outcome condition conditions finding findings
layout layouts lead lag set sets use uses used group class classes item items field fields entry entries value values unit units
material materials joint joints end ends side sides in on at to of by from with as per do or and not is if else for m s h d w k g a
c j n r v l b f e x y z i t p u day days hour hours minute minutes second seconds week year years month base note notes cap
limit limits range ranges step steps order line lines link links method methods law edition document documents survey question
questions answer answers circle supply meter bend along bore slope drop loss limit fitting fittings junction load loads
'''.split())

# Names by which the library and the compiler speak to one another: what becomes of findings, and the list of ports.
BETWEEN = {'accepted', 'advised', 'asked', 'breaking', 'failed', 'holding', 'not_judged', 'port'}

NUMBER = re.compile(r'(?<![\w.])(\d[\d_]*\.\d[\d_]*|\d[\d_]{3,})(?:e[-+]?\d+)?(?![\w.])', re.I)
# Numbers of few digits that are the trade's own all the same: exponents and constants of its formulas.
FEW_DIGITS = {'0.541', '0.381', '0.206', '0.467', '0.533', '0.345', '1.852', '2.63', '2.82', '0.555', '1.08', '0.24', '500.0', '14.7', '29.92',
              '27.7', '2.31', '62.4', '8.33', '7.48', '3.413', '1.085'}
# Numbers of computing and of the calendar that the library may happen to use for something else.
COMPUTING = {'1024', '4096', '8192', '86400', '65536', '65535'} | {str(year) for year in range(1900, 2101)}
report = house.Report('facts')


def library():
    """Names, numbers and texts that the library declares."""
    names, numbers, texts = set(), set(), set()
    for path in house.files('stdlib', 'reports', endings=('.drip',)):
        text = house.text_of(path)
        for found in re.findall(r'"([^"\n]*)"', text):
            texts.add(found)
        text = re.sub(r'"[^"\n]*"', '""', text)
        text = re.sub(r'#[^\n]*', '', text)
        for found in re.findall(r'^\s*(?:unit|dimension|kind|network|function|table|rule|source|code|condition|case|layout)\s+([a-z_][\w.]*)', text, re.M | re.I):
            names.add(found)
        # The things that the library declares: a line `kind name {` at the left edge.
        for found in re.findall(r'^[a-z_]\w*\s+([a-z_]\w*)\s*(?:\{|is\b)', text, re.M):
            names.add(found)
        for found in re.findall(r'\balso\s+([\w ]+)', text):
            names.update(re.findall(r'\w+', found))
        for found in NUMBER.findall(text):
            numbers.add(found.replace('_', ''))
    return names, numbers, texts


names, numbers, texts = library()
report.check(names and numbers and texts, 'the library was not read')
wanted_names = {n for n in names if n.lower() not in PLAIN and n not in BETWEEN and len(n) > 1}
long_texts = {t for t in texts if len(t.split()) >= 5 and '{' not in t}
# Numbers that say something: at least four digits that are not zeros in front or behind.
wanted_numbers = {n for n in numbers if n not in COMPUTING and len(n.replace('.', '').strip('0')) >= 4} | FEW_DIGITS

for path in house.cpp_files():
    text = house.text_of(path)
    code, literals, comments = house.take_apart(text)
    allowed = ELSEWHERE.get(path.split('/')[0], set())
    includes = set(re.findall(r'#\s*include[^\n]*', text))
    identifiers = set(re.findall(r'[A-Za-z_]\w*', code))
    for identifier in sorted(identifiers):
        trade = [w for w in house.words_of(identifier) if w in TRADE and w not in allowed]
        report.check(not trade, f'{path}: `{identifier}` has a word of the trade in it')
        report.check(identifier not in wanted_names or '_' not in identifier, f'{path}: `{identifier}` is a name of the library')
    for line, literal in literals:
        if any(literal in include for include in includes):
            continue
        trade = [w for w in re.findall(r'[a-z]+', literal.lower().replace('_', ' ')) if w in TRADE and w not in allowed]
        report.check(not trade, f'{path}:{line}: "{literal[:60]}" has the word `{trade[0] if trade else ""}` of the trade in it')
        report.check(literal not in wanted_names, f'{path}:{line}: "{literal}" is a name of the library')
        report.check(not any(t in literal for t in long_texts), f'{path}:{line}: "{literal[:60]}" is a text of the library')
        for number in NUMBER.findall(literal):
            report.check(number.replace('_', '') not in wanted_numbers, f'{path}:{line}: {number} is a number of the library')
    for line, comment in comments:
        trade = [w for w in re.findall(r'[a-z]+', comment.lower().replace('_', ' ')) if w in TRADE and w not in allowed]
        report.check(not trade, f'{path}:{line}: a comment has the word `{trade[0] if trade else ""}` of the trade in it')
    for match in NUMBER.finditer(code):
        number = match.group(1).replace('_', '')
        line = code.count('\n', 0, match.start()) + 1
        report.check(number not in wanted_numbers, f'{path}:{line}: {number} is a number of the library')

# The writers of reports put no words of their own on paper: what a reader sees comes from layouts.
for path in house.cpp_files('reports'):
    for line, literal in house.take_apart(house.text_of(path))[1]:
        if path in ('reports/style.cpp',) or '<' in literal or ':' in literal or ';' in literal or '="' in literal:
            continue
        plain = re.findall(r"(?<![\w-])[a-z']{2,}(?![\w-])", literal.lower())
        report.check(len(plain) < 4, f'{path}:{line}: "{literal[:70]}" is a sentence')
report.finish()
