"""Water as the library has it against an independent implementation of the IAPWS formulations (the package `iapws`),
on a grid of temperatures and at the pressures of heating systems. The grid becomes agreements that `dripleg prove` runs."""
import os
import shutil
import subprocess
import sys
import tempfile

try:
    from iapws import IAPWS97
except ImportError:  # a distribution's package lies with the distribution's own Python
    own = '/usr/bin/python3'
    if os.path.exists(own) and os.path.realpath(sys.executable) != os.path.realpath(own):
        os.execv(own, [own, *sys.argv])
    print('the Python package iapws is not installed: not tested')
    sys.exit(77)

sys.path.insert(0, os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), 'house'))
import house  # noqa: E402

report = house.Report('water against IAPWS')
program = next((word for word in sys.argv[1:] if os.path.basename(word).startswith('dripleg')), None)
if not program:
    print('no program was built; name it as an argument')
    sys.exit(1)

LOOSEST = {'density': 0.05, 'heat': 0.1, 'viscosity': 0.1, 'conductivity': 0.1, 'vapour': 0.01}   # percent
GAUGES = (0.08, 0.2, 0.35)                                                                         # MPa above the air


def line(what, left, value, unit):
    return f'agrees {left} = {value:.9g} {unit} within {LOOSEST[what]} %   per iapws_if97 "grid"'


def kelvin(fahrenheit):
    return max((fahrenheit + 459.67) / 1.8, 273.16)


lines, boiling = [], 0
for fahrenheit in range(32, 213, 4):
    t = kelvin(fahrenheit)
    word = f'{t:.9g} K_abs'
    for gauge in GAUGES:
        state = IAPWS97(T=t, P=0.101325 + gauge)
        if state.x > 0:
            boiling += 1
            continue
        lines += [
            line('density', f'water_density({word})', state.rho, 'kg/m3'),
            line('heat', f'water_heat({word})', state.cp, 'kJ/(kg*K)'),
            line('viscosity', f'water_viscosity({word})', state.mu * 1000, 'cP'),
            line('conductivity', f'water_conductivity({word})', state.k, 'W/(m*K)'),
            line('density', f'fluid_density(water, 0 %, {word})', state.rho, 'kg/m3'),
        ]
    lines.append(line('vapour', f'vapour_pressure({word})', IAPWS97(T=t, x=0).P, 'MPa_abs'))
report.check(boiling == 0, f'{boiling} points of the grid are steam')
report.check(len(lines) > 700, 'the grid is empty')


def proved(extra):
    """What `prove` says of the library with these agreements added."""
    with tempfile.TemporaryDirectory() as folder:
        library = os.path.join(folder, 'lib')
        shutil.copytree(os.path.join(house.TOP, 'stdlib'), library)
        with open(os.path.join(library, 'water', 'zz_grid.drip'), 'w', encoding='utf-8') as file:
            file.write('\n'.join(extra) + '\n')
        return subprocess.run([os.path.abspath(program), 'prove', '--library', library], capture_output=True, text=True, timeout=110)


said = proved(lines)
off = [text for text in said.stdout.split('\n') if 'off by' in text]
report.check(not off, f'{len(off)} of {len(lines)} values are off:\n' + '\n'.join(off[:10]))
report.check(' 0 not so' in said.stdout, said.stdout[-400:] + said.stderr[-400:])

# The comparison can fail: the same grid, one value a fifth of a percent too high.
wrong = proved([line('density', 'water_density(300 K_abs)', IAPWS97(T=300, P=0.3).rho * 1.002, 'kg/m3')])
report.check('off by' in wrong.stdout, 'a wrong value is not told')
sys.exit(report.finish())
