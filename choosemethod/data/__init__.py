"""One reader for every YAML file of rules/ and substances/: a specification says what a file holds, and does the rest.

A specification is made of a few parts (`Text`, `Word`, `Flag`, `Number`, `Span`, `Ref`, `Listed`, `Record`, `Table`,
`Either`). Reading by one converts and checks every value, and notes every fault with its file, its line and what to
write instead; `read_file` raises all faults of a file at once. The same specification gives a JSON Schema.

    from choosemethod.data import Flag, Listed, Names, Number, Record, Ref, Table, Text, Word, read_file

    PUMP = Record("a pump", {                             # named in "'reech' is no key of a pump"
        "name": Text(example="water pump"),               # needed
        "kind": Word(["water", "oil"]),                   # a closed list of words
        "reaches": Number("pressure", example="2 kPa"),   # SI out; the unit is checked
        "uses?": Listed(Ref("technique")),                # "?": may be left out, then () here; one alone needs no list
        "loud?": Flag(),                                  # yes or no, False if left out
        "source": SOURCE,                                 # Ref("source") with its own words
    }, make=lambda pump: Pump(pump["name"], pump["reaches"], pump["source"]))
    pumps = read_file(path, Table(PUMP), known={"technique": Names(slugs), "source": Names(keys)})

To add a key to a file, add its line to the record. `make` is handed an `Entry` when nothing in it is faulty; what it
returns is the value (without `make`: a dict). What concerns several keys is checked in `make`, or in `check`, which is
called even if some value is faulty (that value then is `FAULTY`): `entry.fault(key, WRONG, WRITE)`.
"""

from __future__ import annotations

from choosemethod.data.compound import SOURCE, Either, Entry, Listed, Record, Table
from choosemethod.data.reading import FAULTY, Names, Problems, Reading, nearest, raise_all, read_file, read_node
from choosemethod.data.scalar import FileId, Flag, Number, Own, Plain, Ref, Span, Spec, Text, Word
from choosemethod.data.schema import KINDS, json_schema, kind_of, spec_of

__all__ = [
    "FAULTY",
    "KINDS",
    "SOURCE",
    "Either",
    "Entry",
    "FileId",
    "Flag",
    "Listed",
    "Names",
    "Number",
    "Own",
    "Plain",
    "Problems",
    "Reading",
    "Record",
    "Ref",
    "Span",
    "Spec",
    "Table",
    "Text",
    "Word",
    "json_schema",
    "kind_of",
    "nearest",
    "raise_all",
    "read_file",
    "read_node",
    "spec_of",
]
