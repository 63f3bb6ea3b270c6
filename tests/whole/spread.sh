#!/bin/sh
# Runs of `spread`: spread.sh PROGRAM. Same bytes for any number of threads, what the reports hold, the exit status.
set -u
. "$(dirname "$0")/holds.sh"
stage "$1"
cp "$root"/maps/*.ini "$root"/maps/*.csv "$work" && cd "$work" || exit 1
differ() {
    ! cmp -s "$1" "$2"
}

for threads in 1 2 3 7; do
    ends 0 spread estate-tolerances.ini --samples 256 --threads $threads --json $threads.json --csv $threads.csv --format svg --out $threads
    cp out $threads.txt
done
for threads in 2 3 7; do
    for ending in json csv txt; do
        holds "$threads threads give another $ending than one" cmp -s 1.$ending $threads.$ending
    done
    holds "$threads threads give another picture than one" cmp -s 1/estate-tolerances-spread.svg $threads/estate-tolerances-spread.svg
done
ends 0 spread estate-tolerances.ini --samples 256 --json left-out.json
holds "the default number of threads gives another JSON" cmp -s 1.json left-out.json
ends 0 spread estate-tolerances.ini --samples 256 --seed 2 --json seed.json
holds "another seed gives the same JSON" differ 1.json seed.json
ends 0 spread estate-tolerances.ini --samples 256 --units us --json us.json
holds "JSON differs in si and us" cmp -s 1.json us.json
holds "the text is more than 100 columns wide" awk 'length($0) > 100 { exit 1 }' 1.txt out
holds "a spread says that its inputs stand at their middle" sh -c '! grep -q "taken at their middle" 1.txt'
holds "a check does not say so" sh -c "\"$program\" check estate-tolerances.ini | grep -q 'taken at their middle'"
ends 0 spread estate-tolerances.ini --samples 256 --csv -
holds "--csv - is not alone on standard output" cmp -s out 1.csv
ends 0 spread estate-tolerances.ini --samples 256 --json -
holds "--json - is not alone on standard output" cmp -s out 1.json

# The middle exceeds a limit: 1. Samples alone exceed one: 0.
holds "no sample of the demo is over its boost limit" grep -q '^boost .* 70\.0 kPa .*[1-9]\.[0-9] +- .* kept$' 1.txt
sed 's/^boost = .*/boost = 40 kPa/' estate-tolerances.ini >over.ini
ends 1 spread over.ini --samples 128
holds "a limit that all exceed is not told" grep -q '^boost .* all (> 9[0-9]\.[0-9])  EXCEEDED$' out

# More inputs than the sequence has room for.
sed 's/^displacement = 4.4 L/& +- 0.05 L/; s/^compression_ratio = 9.6/& +- 0.2/; s/^over_rev = 300 rpm/& +- 200 rpm/
    s/^throttle_bore = 82 mm/& +- 1 mm/; s/^ve_temperature = 30 degC/& +- 5 degC/; s/at 0.40 kg/at 0.40 +- 0.02 kg/
    s/^loss = 5 kPa at 0.35 kg/loss = 5 +- 1 kPa at 0.35 +- 0.02 kg/; s/^boost = 70 kPa/& +- 3 kPa/
    s/^altitude = 180 m/& +- 50 m/; s/^drive_power = 35 kW/& +- 2 kW/' estate-tolerances.ini >many.ini
sed -i 's/^mechanical_efficiency = 96 %/& +- 2 %/' roots-185.ini
printf 'volumetric_efficiency_factor = 1 +- 0.02\n' >>roots-185.ini
ends 0 spread many.ini --samples 128 --json many.json
holds "more than 20 inputs are not told to be pseudo-random" grep -q 'pseudo-random' out
holds "the unit file's inputs are missing" grep -q '"mechanical_efficiency"' many.json

# An input that reaches what a file may not say is cut, and that is told.
sed 's/^heat_pickup = .*/heat_pickup = 1 +- 3 K/' estate-tolerances.ini >cut.ini
ends 0 spread cut.ini --samples 128
holds "a cut distribution is not told" grep -q 'intake.heat_pickup: 2[0-9].[0-9] % of its normal' out

# Power at the wheels has its own columns.
sed 's/^back_pressure.*/&\ndriveline_loss = 15 % +- 3 %/' estate-tolerances.ini >wheel.ini
ends 0 spread wheel.ini --samples 128 --json wheel.json
holds "power at the wheels is not in the tables" grep -q '^engine  *crank, kW  *wheel, kW$' out
holds "power at the wheels is null" sh -c '! grep -A1 "\"wheel_power_w\"" wheel.json | grep -q null'
holds "the text with wheels is more than 100 columns wide" awk 'length($0) > 100 { exit 1 }' out
# Samples that leave the map are told.
sed 's/^blower_pulley = .*/blower_pulley = 72 mm +- 3 mm/; s/^discharge_temperature.*//; s/^boost.*//' estate-tolerances.ini >fast.ini
ends 1 spread fast.ini --samples 128
holds "samples outside the map are not told" grep -q 'engine speeds some of the samples, up to' out

# A curve whose half-widths nothing holds is told, not sampled.
sed 's/^back_pressure.*/&\nfriction = 1500: 110 +- 10 kPa, 6000: 240 +- 20 kPa/' estate-tolerances.ini >friction.ini
ends 0 spread friction.ini --samples 128
holds "half-widths of friction are dropped in silence" grep -q 'friction: the half-widths of this curve are not kept' out

# The whole is read by another program: shares, order of quantiles and the sum of variances.
holds "the JSON does not add up" /usr/bin/python3 - 1.json <<'END'
import json, sys
d = json.load(open(sys.argv[1]))
assert d["samples"] == 256 and d["builds_solved"] == 256 * (len(d["inputs"]) + 2)
for row in d["line"]:
    for name, value in row.items():
        if isinstance(value, dict) and value["p05"] is not None:
            assert value["p05"] <= value["p50"] <= value["p95"], (name, value)
names = {o["output"] for o in d["outputs"]}
for name in names:
    part = [c for c in d["contributions"] if c["output"] == name]
    assert len(part) == len(d["inputs"]), name
    totals = [c["total"] for c in part]
    assert totals == sorted(totals, reverse=True), name
    assert 0.8 < sum(c["first_order"] for c in part) < 1.2, name
for limit in d["limits"]:
    assert 0 <= limit["share_over"] <= 1 and limit["share_error"] > 0
    assert limit["margin"]["p05"] <= limit["margin_middle"] <= limit["margin"]["p95"]
END
# Each input in the kind of unit that it was typed in, its half-width with two digits; and at another site.
sed 's/^coolant_flow = .*/coolant_flow = 10 L\/min +- 2 L\/min/; s/^front_air_flow = .*/front_air_flow = 900 cfm +- 200/
    s/^ua = .*/ua = 700 W\/K +- 50 W\/K/; s/^temperature = .*/temperature = 68 degF +- 5/' estate-roots-water.ini >typed.ini
"$program" spread typed.ini --samples 128 >out
holds "a coolant flow is not shown in L/min" grep -qE '^cooler.coolant_flow +10.0 +2.0 L/min$' out
holds "an air flow typed as a volume is shown as a mass" grep -qE '^cooler.front_air_flow +1529 +340 m3/h$' out
holds "a heat rate has no unit" grep -qE '^cooler.ua +700 +50 W/K$' out
holds "a half-width has not two digits" grep -qE '^site.temperature +20.0 +2.8 degC$' out
"$program" spread typed.ini --samples 128 --units us --site 'winter: -10 degC' >out
holds "US units of a coolant flow" grep -qE '^cooler.coolant_flow +2.64 +0.53 US gal/min$' out
holds "a temperature that --site gives is still spread" sh -c '! grep -q "^site.temperature" out && grep -q "winter. of --site" out'
tell
