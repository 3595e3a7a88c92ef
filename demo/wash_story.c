#include "demo/wash_story.h"

#include <stddef.h>

const struct demo_deed demo_wash_story[] = {
    {"2024-11-05T19:00", "rules", {"contact=house", "standard=voluntary", "heater=77C"}},
    {"2025-05-04T10:00", "part", {"name=pulse-tube", "fitted=2025-05-04"}},
    {"2025-05-06T15:00", "sample", {"name=W1", "of=water", "lab=county laboratory", "hours=30h"}},
    {"2025-05-07T10:30", "lab", {"sample=W1", "arrived=2025-05-07T10:00"}},
    {"2025-05-12T12:00", "lab", {"sample=W1", "water=0"}},
    {"2025-09-20T16:00", "part", {"name=machine-service", "fitted=2025-09-20", "note=by the dealer"}},
    {"2025-11-16T09:30", "part", {"name=liner", "fitted=2025-11-16", "milkings=1200", "days=182"}},
    {"2025-11-16T09:40", "part", {"name=milk-hose", "fitted=2025-11-16"}},
    {"2025-11-16T09:45", "part", {"name=liner", "stock=1", "lead=7"}},
    {"2026-01-11T10:00", "sample", {"name=M4", "of=milk", "lab=county laboratory", "hours=60h", "temp=3C"}},
    {"2026-01-12T15:20", "lab", {"sample=M4", "sent=2026-01-11T11:00", "arrived=2026-01-12T15:00", "temp=3C"}},
    {"2026-01-17T11:00", "lab", {"sample=M4", "plate=1800", "coliform=2", "cells=168000"}},
    {"2026-02-08T10:00", "sample", {"name=M5", "of=milk"}},
    {"2026-02-09T15:30", "lab", {"sample=M5", "sent=2026-02-08T11:00", "arrived=2026-02-09T15:00", "temp=4C"}},
    {"2026-02-14T11:00", "lab", {"sample=M5", "plate=2400", "coliform=1", "cells=151000"}},
    {"2026-03-01T14:00", "machine", {"vacuum=40.5kPa", "rate=60/min", "open=60%", "note=gauge compared"}},
    {"2026-03-15T10:00", "sample", {"name=M6", "of=milk"}},
    {"2026-03-16T15:30", "lab", {"sample=M6", "sent=2026-03-15T11:00", "arrived=2026-03-16T15:00", "temp=3C"}},
    {"2026-03-21T11:00", "lab", {"sample=M6", "plate=1500", "coliform=0", "cells=146000"}},
    {"2026-04-12T09:10", "part", {"name=pulsator-clean", "fitted=2026-04-12"}},
    {"2026-04-12T09:12", "part", {"name=regulator-filter", "fitted=2026-04-12"}},
    {"2026-04-19T10:00", "part", {"name=disc", "stock=60", "lead=7"}},
    {"2026-04-19T10:01", "part", {"name=strip", "stock=40", "lead=7"}},
    {"2026-04-25T09:00", "part", {"name=pump-oil", "fitted=2026-04-25"}},
    /* High, from a parcel that came warm: what to look at first. */
    {"2026-04-26T08:30", "sample", {"name=M7", "of=milk", "batch=A"}},
    {"2026-04-27T16:00", "lab", {"sample=M7", "sent=2026-04-26T10:00", "arrived=2026-04-27T15:30", "temp=8C"}},
    {"2026-05-01T11:00", "lab", {"sample=M7", "plate=6900", "coliform=3", "cells=212000"}},
    {"2026-05-02T09:00", "sample", {"name=M8", "of=milk", "temp=3C"}},
    {NULL, NULL, {NULL}},
};
