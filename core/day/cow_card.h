/* A cow as a card of text: everything a buyer, a neighbour or the veterinarian asks first. No picture. */
#ifndef CORE_DAY_COW_CARD_H
#define CORE_DAY_COW_CARD_H

#include "core/day/dairy.h"

enum { CARD_LINES_MAX = 120, CARD_LINE_MAX = 200 };

struct cow_card {
    char line[CARD_LINES_MAX][CARD_LINE_MAX];
    bool heading[CARD_LINES_MAX];
    size_t lines;
};

/* Reads all of her milk, so it takes longer than her page. */
int dairy_cow_card(struct dairy *d, int64_t cow_id, struct instant now, struct cow_card *out, struct fail *f);

#endif
