# Whether CSV, JSON and text of one check tell the same: awk -v units=si -f agree.awk run.csv run.json run.txt
# Prints what differs and how many values were compared; ends with 1 when anything differs.
# Factors: 1 lb = 0.45359237 kg, 1 ft = 0.3048 m, 1 lbf = 4.4482216152605 N, 1 hp = 550 ft.lbf/s, exact by definition.

function differ(what, a, b) {
    print what ": " a " and " b
    bad++
}

# Relative to ten digits, which is what the CSV prints.
function same(what, a, b) {
    compared++
    scale = a < 0 ? -a : a
    if (scale < 1e-3) scale = 1e-3
    off = a - b < 0 ? b - a : a - b
    if (!(off <= 2e-9 * scale)) differ(what, a, b)
}

# A printed number against a full one: half of its last digit.
function rounded(what, text, full,    decimals, half) {
    compared++
    decimals = index(text, ".") ? length(text) - index(text, ".") : 0
    half = 0.5 * 10 ^ -decimals + 1e-7
    off = text - full < 0 ? full - text : text - full
    if (!(off <= half)) differ(what, text, full)
}

# An SI value in the unit of that name; change is 1 for a difference of two values.
function shown(si, unit, change) {
    if (unit == "kPa") return si / 1000
    if (unit == "psi" || unit == "psia") return si / (4.4482216152605 / 0.0254 ^ 2)
    if (unit == "degC") return change ? si : si - 273.15
    if (unit == "degF") return change ? si * 1.8 : si * 1.8 - 459.67
    if (unit == "kg/h") return si * 3600
    if (unit == "lb/min") return si * 60 / 0.45359237
    if (unit == "lb/h") return si * 3600 / 0.45359237
    if (unit == "m3/h") return si * 3600
    if (unit == "ft3/min") return si * 60 / 0.3048 ^ 3
    if (unit == "kW") return si / 1000
    if (unit == "hp") return si / (550 * 0.3048 * 4.4482216152605)
    if (unit == "N.m") return si
    if (unit == "lbf.ft") return si / (0.3048 * 4.4482216152605)
    if (unit == "%") return si * 100
    if (unit == "rpm" || unit == "") return si
    differ("unit", unit, "none known")
    return si
}

BEGIN {
    known = "engine speed=engine_speed_rpm;blower speed=blower_speed_rpm;corrected speed=corrected_speed_rpm;" \
            "pressure ratio=pressure_ratio;inlet pressure=inlet_pressure_pa;discharge pressure=discharge_pressure_pa;" \
            "manifold pressure=manifold_pressure_pa;exhaust pressure=exhaust_pressure_pa;boost=boost_pa;" \
            "inlet volume flow=inlet_volume_flow_m3_s;air mass flow=air_mass_flow_kg_s;" \
            "blower volumetric efficiency=blower_volumetric_efficiency;" \
            "blower adiabatic efficiency=blower_adiabatic_efficiency;" \
            "engine volumetric efficiency=engine_volumetric_efficiency;inlet temperature=inlet_temperature_k;" \
            "discharge temperature=discharge_temperature_k;charge temperature=charge_temperature_k;" \
            "drive power=drive_power_w;drive torque=drive_torque_n_m;cooler heat=cooler_heat_w;" \
            "gross indicated power=indicated_power_w;pumping power=pumping_power_w;friction power=friction_power_w;" \
            "blower drive at the crankshaft=crank_drive_power_w;estimated crank power=crank_power_w;" \
            "estimated crank torque=crank_torque_n_m;estimated wheel power=wheel_power_w;" \
            "fuel flow=fuel_mass_flow_kg_s;coolant inlet temperature=coolant_in_temperature_k;" \
            "coolant outlet temperature=coolant_out_temperature_k;cooler effectiveness=cooler_effectiveness;" \
            "inlet volume flow in the map's air=map_volume_flow_m3_s;on map=on_map;" \
            "volumetric efficiency held=volumetric_efficiency_held;throttle choked=throttle_choked;map side="
    for (n = split(known, pairs, ";"); n > 0; n--) {
        split(pairs[n], pair, "=")
        key_of[pair[1]] = pair[2]
    }
    # Columns of the text table.
    shown_count = split("engine speed,blower speed,pressure ratio,boost,inlet volume flow,air mass flow," \
                        "blower volumetric efficiency,blower adiabatic efficiency,discharge temperature," \
                        "charge temperature,drive power,drive torque", shown_heads, ",")
    # Columns of the table of power, the one at the wheels only where it is known.
    power_count = split("engine speed,gross indicated power,pumping power,friction power," \
                        "blower drive at the crankshaft,estimated crank power,estimated crank torque," \
                        "estimated wheel power,fuel flow", power_heads, ",")
}

FNR == 1 { file++ }

file == 1 && FNR == 1 {
    count = split($0, heads, ",")
    for (c = 1; c <= count; c++) {
        unit[c] = heads[c] ~ /\[/ ? heads[c] : ""
        sub(/^.*\[/, "", unit[c])
        sub(/\].*$/, "", unit[c])
        sub(/ *\[.*/, "", heads[c])
        at[heads[c]] = c
        if (!(heads[c] in key_of)) differ("column of the CSV", heads[c], "none known")
    }
    for (head in key_of) if (!(head in at)) differ("column of the CSV", head, "none there")
    if (unit[at["boost"]] != (units == "us" ? "psi" : "kPa")) differ("unit of boost", unit[at["boost"]], units)
    next
}
file == 1 {
    rows++
    split($0, cells, ",")
    for (c = 1; c <= count; c++) csv[rows, heads[c]] = cells[c]
    next
}

file == 2 && /^  "[a-z]+": \[/ { part = $1; next }
file == 2 && /^  \]/ { part = ""; next }
file == 2 && part != "" && /^      "/ {
    key = $1
    gsub(/[":]/, "", key)
    value = $0
    sub(/^ *"[a-z_0-9]*": /, "", value)
    sub(/,$/, "", value)
    gsub(/"/, "", value)
    if (part ~ /line/) {
        if (key == "engine_speed_rpm") points++
        point[points, key] = value
    } else if (part ~ /limits/) {
        if (key == "name") limits++
        limit[limits, key] = value
    }
    next
}

file == 3 && /^Operating line/ { table = "line"; next }
file == 3 && /^Estimated power/ { table = "power"; next }
file == 3 && /^Limits/ { table = "limits"; skip = 2; next }
file == 3 && /^(map|margin): |^\* |^$/ { table = ""; next }
file == 3 && table == "line" && /^ *[0-9]/ {
    lines++
    for (k = 1; k <= shown_count; k++) {
        rounded("text row " lines ", " shown_heads[k], $k, csv[lines, shown_heads[k]])
    }
    if ($(shown_count + 1) != csv[lines, "map side"]) {
        differ("text row " lines ", on the map", $(shown_count + 1), csv[lines, "map side"])
    }
    next
}
file == 3 && table == "power" && /^ *[0-9]/ {
    powers++
    for (r = 1; r <= rows && csv[r, "engine speed"] != $1; r++);
    field = 0
    for (k = 1; k <= power_count; k++) {
        if (csv[r, power_heads[k]] == "" && power_heads[k] ~ /wheel/) continue
        rounded("power at " $1 ", " power_heads[k], $(++field), csv[r, power_heads[k]])
    }
    next
}
file == 3 && table == "limits" && skip-- > 0 { next }
file == 3 && table == "limits" {
    n++
    name = limit[n, "name"]
    starred = sub(/ \*$/, "")
    if (starred != (limit[n, "on_map"] == "false")) differ("limit " name ", star", starred, limit[n, "on_map"])
    unit_shown = $(NF - 3)
    # A pressure ratio has no unit.
    bare = unit_shown ~ /^[-0-9.]+$/
    if (bare) unit_shown = ""
    rounded("limit " name ", value", $(NF - 6 + bare), shown(limit[n, "value"], unit_shown, 0))
    rounded("limit " name ", limit", $(NF - 5 + bare), shown(limit[n, "limit"], unit_shown, 0))
    rounded("limit " name ", spare", $(NF - 4 + bare), shown(limit[n, "limit"] - limit[n, "value"], unit_shown, 1))
    rounded("limit " name ", margin", $(NF - 2), limit[n, "margin"])
    rounded("limit " name ", engine speed", $(NF - 1), limit[n, "engine_speed_rpm"])
    if (tolower($NF) != limit[n, "verdict"]) differ("limit " name, $NF, limit[n, "verdict"])
}

function truth(word) {
    return word == "true" || word == "yes"
}

END {
    for (r = 1; r <= rows; r++) {
        for (c = 1; c <= count; c++) {
            key = key_of[heads[c]]
            value = point[r, key]
            if (key == "") continue
            if (value == "null" && csv[r, heads[c]] == "") continue
            if (value == "true" || value == "false") {
                if (truth(value) != truth(csv[r, heads[c]])) differ("row " r ", " heads[c], value, csv[r, heads[c]])
            } else same("row " r ", " heads[c], shown(value, unit[c], 0), csv[r, heads[c]])
        }
        if ((csv[r, "map side"] == "in") != truth(point[r, "on_map"])) {
            differ("row " r ", map side", csv[r, "map side"], point[r, "on_map"])
        }
    }
    if (rows != points || rows != lines || rows < 2) {
        differ("rows", rows + 0 " in the CSV", points + 0 " in the JSON, " lines + 0 " in the text")
    }
    if (powers < 2) differ("rows of power in the text", powers + 0, "2 or more")
    if (limits != n || n < 2) differ("limits", limits + 0 " in the JSON", n + 0 " in the text")
    print compared + 0 " values compared"
    exit bad > 0
}
