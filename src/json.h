/* JSON out, by way of jansson: one place that decides how numbers and missing values are written. */
#ifndef SRC_JSON_H
#define SRC_JSON_H

#include <jansson.h>

#include "core/base/working.h"

/* A working as the object {"topic", "given", "result", "working", "source", "caution"}; new reference, or
 * NULL when out of memory. */
json_t *json_working(const char *topic, const struct working *w);

/* A number, or null when it is NaN or infinite; a text, or null when it is NULL or "". New references. */
json_t *json_number(double value);
json_t *json_text(const char *text);
json_t *json_moment(struct instant t);
json_t *json_day(struct date d);

/* Prints the object and a line end on standard output and gives the reference back. Returns the exit status;
 * NULL is said to be out of memory. */
int json_print(json_t *object);

#endif
