/* One table of units serves reading and writing. Conversion factors are exact by definition (the
 * international pound and inch, the US gallon of 231 in3) but for the conventional inch of mercury. */
#include "core/base/quantity.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/text.h"

struct unit {
    const char *name; /* as typed; matched without case, except where case tells units apart */
    enum dimension dim;
    double factor; /* si = value * factor + offset */
    double offset;
};

static const struct unit units_known[] = {
  /* The first name of each unit is the one we write. */
    {"F",       DIM_TEMPERATURE,      1 / 1.8,         -32 / 1.8},
    {"°F",     DIM_TEMPERATURE,      1 / 1.8,         -32 / 1.8},
    {"degF",    DIM_TEMPERATURE,      1 / 1.8,         -32 / 1.8},
    {"C",       DIM_TEMPERATURE,      1,               0        },
    {"°C",     DIM_TEMPERATURE,      1,               0        },
    {"degC",    DIM_TEMPERATURE,      1,               0        },
    {"F",       DIM_TEMPERATURE_STEP, 1 / 1.8,         0        },
    {"°F",     DIM_TEMPERATURE_STEP, 1 / 1.8,         0        },
    {"C",       DIM_TEMPERATURE_STEP, 1,               0        },
    {"°C",     DIM_TEMPERATURE_STEP, 1,               0        },
    {"K",       DIM_TEMPERATURE_STEP, 1,               0        },
    {"gal",     DIM_VOLUME,           L_PER_GAL,       0        },
    {"gallon",  DIM_VOLUME,           L_PER_GAL,       0        },
    {"gallons", DIM_VOLUME,           L_PER_GAL,       0        },
    {"qt",      DIM_VOLUME,           L_PER_GAL / 4,   0        },
    {"quart",   DIM_VOLUME,           L_PER_GAL / 4,   0        },
    {"quarts",  DIM_VOLUME,           L_PER_GAL / 4,   0        },
    {"pt",      DIM_VOLUME,           L_PER_GAL / 8,   0        },
    {"pint",    DIM_VOLUME,           L_PER_GAL / 8,   0        },
    {"pints",   DIM_VOLUME,           L_PER_GAL / 8,   0        },
    {"cup",     DIM_VOLUME,           L_PER_GAL / 16,  0        },
    {"cups",    DIM_VOLUME,           L_PER_GAL / 16,  0        },
    {"floz",    DIM_VOLUME,           L_PER_GAL / 128, 0        },
    {"fl oz",   DIM_VOLUME,           L_PER_GAL / 128, 0        },
    {"tbsp",    DIM_VOLUME,           L_PER_GAL / 256, 0        },
    {"tsp",     DIM_VOLUME,           L_PER_GAL / 768, 0        },
    {"L",       DIM_VOLUME,           1,               0        },
    {"l",       DIM_VOLUME,           1,               0        },
    {"litre",   DIM_VOLUME,           1,               0        },
    {"litres",  DIM_VOLUME,           1,               0        },
    {"liter",   DIM_VOLUME,           1,               0        },
    {"liters",  DIM_VOLUME,           1,               0        },
    {"mL",      DIM_VOLUME,           1e-3,            0        },
    {"lb",      DIM_MASS,             KG_PER_LB,       0        },
    {"lbs",     DIM_MASS,             KG_PER_LB,       0        },
    {"oz",      DIM_MASS,             KG_PER_LB / 16,  0        },
    {"kg",      DIM_MASS,             1,               0        },
    {"g",       DIM_MASS,             1e-3,            0        },
    {"s",       DIM_DURATION,         1,               0        },
    {"sec",     DIM_DURATION,         1,               0        },
    {"second",  DIM_DURATION,         1,               0        },
    {"seconds", DIM_DURATION,         1,               0        },
    {"min",     DIM_DURATION,         60,              0        },
    {"mins",    DIM_DURATION,         60,              0        },
    {"minute",  DIM_DURATION,         60,              0        },
    {"minutes", DIM_DURATION,         60,              0        },
    {"h",       DIM_DURATION,         3600,            0        },
    {"hr",      DIM_DURATION,         3600,            0        },
    {"hrs",     DIM_DURATION,         3600,            0        },
    {"hour",    DIM_DURATION,         3600,            0        },
    {"hours",   DIM_DURATION,         3600,            0        },
    {"d",       DIM_DURATION,         86400,           0        },
    {"day",     DIM_DURATION,         86400,           0        },
    {"days",    DIM_DURATION,         86400,           0        },
    {"wk",      DIM_DURATION,         604800,          0        },
    {"week",    DIM_DURATION,         604800,          0        },
    {"weeks",   DIM_DURATION,         604800,          0        },
    {"ppm",     DIM_CONCENTRATION,    1,               0        },
    {"mg/L",    DIM_CONCENTRATION,    1,               0        },
    {"%",       DIM_PERCENT,          1,               0        },
    {"pct",     DIM_PERCENT,          1,               0        },
    {"percent", DIM_PERCENT,          1,               0        },
    {"inHg",    DIM_PRESSURE,         KPA_PER_INHG,    0        },
    {"kPa",     DIM_PRESSURE,         1,               0        },
    {"in",      DIM_LENGTH,           M_PER_IN,        0        },
    {"inch",    DIM_LENGTH,           M_PER_IN,        0        },
    {"inches",  DIM_LENGTH,           M_PER_IN,        0        },
    {"ft",      DIM_LENGTH,           M_PER_IN * 12,   0        },
    {"m",       DIM_LENGTH,           1,               0        },
    {"cm",      DIM_LENGTH,           1e-2,            0        },
    {"mm",      DIM_LENGTH,           1e-3,            0        },
    {"/min",    DIM_RATE,             1,               0        },
    {"/h",      DIM_RATE,             1.0 / 60,        0        },
    {"/s",      DIM_RATE,             60,              0        },
    {"W/K",     DIM_CONDUCTANCE,      1,               0        },
    {"/mL",     DIM_DENSITY_COUNT,    1,               0        },
    {"kJ",     DIM_ENERGY,            1,               0        },
    {"MJ",     DIM_ENERGY,            1000,            0        },
    {"kWh",    DIM_ENERGY,            3600,            0        },
    {"BTU",    DIM_ENERGY,            1.05505585262,   0        }, /* International Table */
};

enum { UNITS_KNOWN = sizeof units_known / sizeof units_known[0] };

struct dimension_facts {
    const char *noun;        /* for the refusal */
    const char *example;     /* what would be right */
    double low, high;        /* what can be meant, SI */
    const char *us, *metric; /* the unit that a field shows */
    int us_decimals, metric_decimals;
    bool unitless; /* a bare number is enough */
    bool whole;
};

static const struct dimension_facts facts[DIM_LAST + 1] = {
    [DIM_TEMPERATURE] = {"a temperature",            "95F or 35C",          -80,   150,                   "F",    "C",    1, 1, false, false},
    [DIM_TEMPERATURE_STEP] = {"a temperature difference", "9F or 5C",            0,     200,                   "F",    "C",    1, 1, false, false},
    [DIM_VOLUME] = {"a volume",                 "0.5gal, 2qt or 1.9L", 0,     1e5,                   "gal",  "L",    2, 2, false, false},
    [DIM_MASS] = {"a weight",                 "48.5lb or 22kg",      0,     1e5,                   "lb",   "kg",   1, 1, false, false},
    [DIM_DURATION] = {"a length of time",         "20min, 2h or 1h30",   0,     40.0 * 365.25 * 86400, "min",  "min",  0, 0,
                         false,                                                                                                        false},
    [DIM_CONCENTRATION] = {"a strength",               "100ppm",              0,     1e6,                   "ppm",  "ppm",  0, 0, false, false},
    [DIM_PERCENT] = {"a percentage",             "8.25%",               0,     100,                   "%",    "%",    2, 2, false, false},
    [DIM_PRESSURE] = {"a vacuum",                 "14inHg or 48kPa",     0,     110,                   "inHg", "kPa",  1, 1, false, false},
    [DIM_LENGTH] = {"a length",                 "70in or 178cm",       0,     100,                   "in",   "cm",   1, 1, false, false},
    [DIM_RATE] = {"a rate",                   "0.065/min",           0,     1e3,                   "/min", "/min", 4, 4, false, false},
    [DIM_CONDUCTANCE] = {"a heat conductance",       "4.5W/K",              0,     1e6,                   "W/K",  "W/K",  2, 2, false, false},
    [DIM_DENSITY_COUNT] = {"a count per mL",           "200000/mL",           0,     1e12,                  "/mL",  "/mL",  0, 0, true,  false},
    [DIM_COUNT] = {"a whole number",           "4",                   0,     1e9,                   "",     "",     0, 0, true,  true },
    [DIM_NUMBER] = {"a number",                 "3.5",                 -1e15, 1e15,                  "",     "",     6, 6, true,  false},
    [DIM_MONEY] = {"an amount of money",       "12.50",               0,     1e9,                   "",     "",     2, 2, true,  false},
    [DIM_ENERGY] = {"an amount of heat",        "200kJ",               0,     1e6,                   "kJ",   "kJ",   0, 0, false, false},
};

double temp_c_from_f(double temp_f)
{
    return (temp_f - 32) / 1.8;
}

double temp_f_from_c(double temp_c)
{
    return temp_c * 1.8 + 32;
}

/* Units differ in case only where both cases exist (m, M); ours do not, so case is free: 95f, 2QT, 20MIN. */
static const struct unit *unit_find(const char *name, enum dimension dim)
{
    for (int i = 0; i < UNITS_KNOWN; i++)
        if (units_known[i].dim == dim && text_same(units_known[i].name, name))
            return &units_known[i];
    return NULL;
}

static const struct unit *unit_find_any(const char *name)
{
    for (int i = 0; i < UNITS_KNOWN; i++)
        if (text_same(units_known[i].name, name))
            return &units_known[i];
    return NULL;
}

/* Reads a decimal number at *s and moves *s past it. No hexadecimal, no "inf", no "nan", no locale. False if
 * none. */
static bool read_number(const char **s, double *value)
{
    const char *p = *s;
    if (*p == '-' || *p == '+')
        p++;
    const char *digits = p;
    while (isdigit((unsigned char)*p))
        p++;
    size_t count = (size_t)(p - digits);
    if (*p == '.') {
        p++;
        while (isdigit((unsigned char)*p)) {
            p++;
            count++;
        }
    }
    if (count == 0)
        return false;
    if ((*p == 'e' || *p == 'E') &&
        (isdigit((unsigned char)p[1]) || ((p[1] == '-' || p[1] == '+') && isdigit((unsigned char)p[2])))) {
        p += 2;
        while (isdigit((unsigned char)*p))
            p++;
    }
    /* strtod gets a copy of just these characters; the program never sets LC_NUMERIC, so '.' is the decimal
     * point. */
    char copy[64];
    size_t length = (size_t)(p - *s);
    *value = HUGE_VAL;
    if (length < sizeof copy) {
        memcpy(copy, *s, length);
        copy[length] = '\0';
        *value = strtod(copy, NULL);
    }
    *s = p;
    return true;
}

static int not_understood(const char *text, enum dimension dim, struct fail *f)
{
    return fail_input(f, "\"%.40s\" is not %s; write it as %s.", text, facts[dim].noun, facts[dim].example);
}

/* "1h30", "1h30min", "1 h 30", "2d 4h", "2d4h": what follows the first unit of a duration. */
static bool read_duration_tail(const char *s, double first_factor, double *extra)
{
    char unit[16];
    *extra = 0;
    while (*s == ' ')
        s++;
    if (*s == '\0')
        return true;
    double value;
    const struct unit *u = NULL;
    if (!isdigit((unsigned char)*s) || !read_number(&s, &value) || !text_trim(unit, sizeof unit, s))
        return false;
    if (unit[0] != '\0')
        u = unit_find(unit, DIM_DURATION);
    else /* a bare tail is in the next smaller unit: 1h30 is 1 h 30 min, 5min30 is 5 min 30 s */
        u = unit_find(first_factor >= 86400 ? "h" : first_factor >= 3600 ? "min" : "s", DIM_DURATION);
    if (u == NULL || u->factor >= first_factor || value * u->factor >= first_factor)
        return false;
    *extra = value * u->factor;
    return true;
}

static int check_range(const char *text, enum dimension dim, double si, struct fail *f)
{
    if (isnan(si))
        return not_understood(text, dim, f);
    if (si < 0 && facts[dim].low >= 0)
        return fail_input(f, "\"%.40s\" is less than nothing; %s cannot be negative.", text, facts[dim].noun);
    if (si > facts[dim].high || si < facts[dim].low)
        return fail_input(f, "\"%.40s\" cannot be meant: %s like %s was expected.", text, facts[dim].noun,
                          facts[dim].example);
    if (facts[dim].whole && si != floor(si))
        return fail_input(f, "\"%.40s\" is not a whole number.", text);
    return 0;
}

int quantity_parse(const char *text, enum dimension dim, const char *bare_unit, double *si, struct fail *f)
{
    char unit_text[24];
    double value, extra = 0;
    const char *s = text;
    while (*s == ' ')
        s++;
    if (!read_number(&s, &value))
        return not_understood(text, dim, f);
    /* The unit runs to the next digit (only durations go on after it) or to the end. */
    size_t length = dim == DIM_DURATION ? strcspn(s, "0123456789") : strlen(s);
    char raw[24];
    if (length >= sizeof raw)
        return not_understood(text, dim, f);
    memcpy(raw, s, length);
    raw[length] = '\0';
    (void)text_trim(unit_text, sizeof unit_text, raw);
    const char *name = unit_text;
    if (*name == '\0' && s[length] != '\0')
        return not_understood(text, dim, f);
    if (*name == '\0') {
        if (facts[dim].unitless) {
            if (check_range(text, dim, value, f) != 0)
                return -1;
            *si = value;
            return 0;
        }
        if (bare_unit == NULL)
            return fail_input(f, "\"%.40s\" has no unit; write it as %s.", text, facts[dim].example);
        name = bare_unit;
    }
    const struct unit *u = unit_find(name, dim);
    if (u == NULL) {
        const struct unit *other = unit_find_any(name);
        if (other != NULL)
            return fail_input(f, "\"%.40s\" is %s, but %s is needed; write it as %s.", text,
                              facts[other->dim].noun, facts[dim].noun, facts[dim].example);
        return not_understood(text, dim, f);
    }
    if (dim == DIM_DURATION && !read_duration_tail(s + length, u->factor, &extra))
        return not_understood(text, dim, f);
    double result = value * u->factor + u->offset + (value < 0 ? -extra : extra);
    if (check_range(text, dim, result, f) != 0)
        return -1;
    *si = result;
    return 0;
}

const char *quantity_unit(enum dimension dim, enum unit_system units)
{
    return units == UNITS_US ? facts[dim].us : facts[dim].metric;
}

/* Cuts ".50" to ".5" and ".0" to "", and takes the sign from nothing. */
static void trim_zeros(char *text)
{
    size_t n = strlen(text);
    bool point = strchr(text, '.') != NULL;
    while (point && n > 0 && text[n - 1] == '0')
        text[--n] = '\0';
    if (point && n > 0 && text[n - 1] == '.')
        text[--n] = '\0';
    if (strcmp(text, "-0") == 0)
        memcpy(text, "0", 2);
}

const char *quantity_format_in(double si, enum dimension dim, const char *unit, int decimals,
                               char buf[QUANTITY_TEXT_MAX])
{
    const struct unit *u = unit_find(unit, dim);
    double value = u == NULL ? si : (si - u->offset) / u->factor;
    if (!isfinite(value)) {
        (void)snprintf(buf, QUANTITY_TEXT_MAX, "?");
        return buf;
    }
    buf[0] = '\0';
    text_add_fixed(buf, QUANTITY_TEXT_MAX, value, decimals);
    trim_zeros(buf);
    if (dim == DIM_TEMPERATURE || dim == DIM_TEMPERATURE_STEP)
        text_add(buf, QUANTITY_TEXT_MAX, " °");
    else if (dim != DIM_PERCENT && *unit != '/' && *unit != '\0')
        text_add(buf, QUANTITY_TEXT_MAX, " ");
    text_add(buf, QUANTITY_TEXT_MAX, unit);
    return buf;
}

const char *quantity_format(double si, enum dimension dim, enum unit_system units,
                            char buf[QUANTITY_TEXT_MAX])
{
    const struct dimension_facts *d = &facts[dim];
    if (dim == DIM_DURATION) {
        double total = round(si);
        long long s = isfinite(total) && fabs(total) < 1e15 ? llabs((long long)total) : 0;
        const char *sign = total < 0 ? "-" : "";
        if (s >= 172800 && s % 86400 == 0)
            (void)snprintf(buf, QUANTITY_TEXT_MAX, "%s%lld d", sign, s / 86400);
        else if (s >= 3600)
            (void)snprintf(buf, QUANTITY_TEXT_MAX, "%s%lld h %02lld", sign, s / 3600, s / 60 % 60);
        else if (s >= 60)
            (void)snprintf(buf, QUANTITY_TEXT_MAX, s % 60 == 0 ? "%s%lld min" : "%s%lld min %02lld", sign, s / 60,
                           s % 60);
        else
            (void)snprintf(buf, QUANTITY_TEXT_MAX, "%s%lld s", sign, s);
        return buf;
    }
    if (units == UNITS_US)
        return quantity_format_in(si, dim, d->us, d->us_decimals, buf);
    return quantity_format_in(si, dim, d->metric, d->metric_decimals, buf);
}

int64_t quantity_milli(double si)
{
    double milli = round(si * 1000);
    if (!(milli > -9e15 && milli < 9e15))
        return 0;
    return (int64_t)milli;
}
