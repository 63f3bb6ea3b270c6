#!/bin/sh
# Holds the JSON of the demo runs against docs/schema: schema.sh PROGRAM.
set -u
program=$1
passed=0
failed=0
hold() {
    schema=$1
    shift
    if "$program" "$@" --json - | /usr/bin/python3 -c '
import json, sys, jsonschema
def no(text): raise ValueError("not JSON: " + text)
value = json.load(sys.stdin, parse_constant=no)
jsonschema.Draft7Validator.check_schema(json.load(open(sys.argv[1])))
jsonschema.validate(value, json.load(open(sys.argv[1])))' "$schema"; then
        passed=$((passed + 1))
    else
        echo "schema: $* does not hold to $schema"
        failed=$((failed + 1))
    fi
}
folder=$(mktemp -d) || exit 3
trap 'rm -rf "$folder"' EXIT
hold docs/schema/check.json check maps/estate-roots.ini
hold docs/schema/check.json check maps/estate-screw.ini
hold docs/schema/check.json check maps/estate-screw.ini --sensitivity
hold docs/schema/check.json chart maps/estate-roots.ini --out "$folder" 2>"$folder/wrote"
hold docs/schema/check.json sheet maps/estate-roots.ini --out "$folder/sheet.html" 2>"$folder/wrote"
hold docs/schema/compare.json sheet maps/estate-roots.ini maps/estate-screw.ini --out "$folder/sheet.html" 2>"$folder/wrote"
hold docs/schema/pulley.json pulley maps/estate-roots.ini --boost 60kPa --at 4000rpm --max-speed 11000rpm
hold docs/schema/pulley.json pulley maps/estate-screw.ini --crank 20mm:900mm:40mm --boost 3000kPa --manifold-flow 0.3kg/s
hold docs/schema/pulley.json pulley maps/estate-roots.ini --speeds 2000 --island 2500:5500 --weights "2500: 1, 4000: 3"
hold docs/schema/pulley.json pulley maps/estate-roots.ini --crank 20mm:1000mm:70mm --max-speed 999999rpm --boost 1Pa --at 3000rpm
sed '/^driveline_loss/d; s/^blower_pulley.*/blower_pulley = 20 mm/' maps/estate-roots.ini >"$folder/small.ini"
cp maps/roots-185.ini maps/roots-185.csv "$folder"
hold docs/schema/pulley.json pulley "$folder/small.ini" --island 2500:5500 --format svg --out "$folder" 2>"$folder/wrote"
hold docs/schema/throttle.json throttle maps/estate-roots.ini
hold docs/schema/fuel.json fuel maps/estate-roots-water.ini
hold docs/schema/knock.json knock maps/estate-screw.ini
hold docs/schema/check.json check maps/estate-roots.ini --site "hot day"
hold docs/schema/pulley.json pulley maps/estate-roots.ini --site "pass: 10 degC, 2300 m"
hold docs/schema/site.json site maps/estate-roots.ini
hold docs/schema/site.json site maps/estate-screw.ini --site "70 degC, 9000 m, 0 %" --power "200 kW"
hold docs/schema/site.json site maps/estate-roots.ini --power 300hp
hold docs/schema/spread.json spread maps/estate-tolerances.ini --samples 128
hold docs/schema/compare.json compare maps/estate-roots.ini maps/estate-screw.ini
hold docs/schema/compare.json compare maps/estate-roots.ini maps/estate-screw.ini --boost 60kPa --at 4000rpm
# A cooler that lets through no such flow, whatever the pulley.
sed "s|^unit = .*|unit = $PWD/maps/roots-185.ini|; s/^loss = 5 kPa .*/loss = 90 kPa at 0.03 kg\/s/" maps/estate-roots.ini >"$folder/shut.ini"
hold docs/schema/compare.json compare maps/estate-roots.ini "$folder/shut.ini" --manifold-flow 1200kg/h --speeds 2000,3000
hold docs/schema/check.json check maps/estate-roots-water.ini --sensitivity
hold docs/schema/soak.json soak maps/estate-roots-water.ini
hold docs/schema/belt.json belt maps/estate-roots-belt.ini
hold docs/schema/inspect.json inspect maps/roots-185.ini
hold docs/schema/inspect.json inspect maps/screw-120.ini
hold docs/schema/trace.json trace maps/roots-185-traced.ini
hold docs/schema/inspect.json inspect maps/roots-185-scan.ini
cp maps/roots-185-scan.png "$folder"
sed '/^table/d' maps/roots-185-scan.ini >"$folder/picture.ini"
hold docs/schema/inspect.json inspect "$folder/picture.ini"
sed '/^.map/,/^source/d; /^corners/,$d' maps/roots-185-scan.ini >"$folder/alone.ini"
printf 'x_points = 130: 0, 1130: 1600\ny_points = 780: 1, 120: 2.4\n' >>"$folder/alone.ini"
hold docs/schema/inspect.json inspect "$folder/alone.ini"
hold docs/schema/log.json log maps/estate-roots.ini maps/estate-roots-run.csv
printf 'engine speed [rpm],manifold pressure [kPa]\n3000,45\n4000,46\n' >"$folder/gauge.csv"
hold docs/schema/log.json log maps/estate-roots.ini "$folder/gauge.csv"
printf 'engine speed [rpm],boost [psi],wheel power [hp],discharge temperature [degF],intake pressure [psi]\n3000,6.4,210,171,14.2\n4000,6.2,,170,14.1\n5000,9.9,340,,14\n' >"$folder/few.csv"
hold docs/schema/log.json log maps/estate-roots.ini "$folder/few.csv"
echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
