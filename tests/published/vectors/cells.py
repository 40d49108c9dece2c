#!/usr/bin/env python3
"""Second witness for pilots, cells, signalling and rates, written apart from the C program.

Works on sets of carrier numbers and exact fractions, straight from the rules of ATSC A/322:2024-04
(section 8.1, Annexes D.1 and F, section 6.5.2.8, section 7). Prints cells.inc:

    python3 tests/published/vectors/cells.py > tests/published/vectors/cells.inc
"""
from fractions import Fraction
from math import ceil, floor

CP32 = """
236 316 356 412 668 716 868 1100 1228 1268 1340 1396 1876 1916 2140 2236 2548 2644 2716 2860
3004 3164 3236 3436 3460 3700 3836 4028 4124 4132 4156 4316 4636 5012 5132 5140 5332 5372 5500
5524 5788 6004 6020 6092 6428 6452 6500 6740 7244 7316 7372 7444 7772 7844 7924 8020 8164 8308
8332 8348 8788 8804 9116 9140 9292 9412 9436 9604 10076 10204 10340 10348 10420 10660 10684
10708 11068 11132 11228 11356 11852 11860 11884 12044 12116 12164 12268 12316 12700 12772
12820 12988 13300 13340 13564 13780 13868 14084 14308 14348 14660 14828 14876 14948 15332
15380 15484 15532 15604 15764 15788 15796 16292 16420 16516 16580 16940 16964 16988 17228
17300 17308 17444 17572 18044 18212 18236 18356 18508 18532 18844 18860 19300 19316 19340
19484 19628 19724 19804 19876 20204 20276 20332 20404 20908 21148 21196 21220 21556 21628
21644 21860 22124 22148 22276 22316 22508 22516 22636 23012 23332 23492 23516 23524 23620
23812 23948 24188 24212 24412 24484 24644 24788 24932 25004 25100 25412 25508 25732 25772
26252 26308 26380 26420 26548 26780 26932 26980 27236 27292 27332 27412
"""
CP32 = [int(word) for word in CP32.split()]

# Which patterns go with which guard interval: Table 8.3, a line per guard interval.
ALLOWED = """
192  | 32_2 32_4 16_2 16_4 | 32_2 32_4           | 32_2
384  | 16_2 16_4 8_2 8_4   | 32_2 32_4 16_2 16_4 | 32_2
512  | 12_2 12_4 6_2 6_4   | 24_2 24_4 12_2 12_4 | 24_2
768  | 8_2 8_4 4_2 4_4     | 16_2 16_4 8_2 8_4   | 32_2 16_2
1024 | 6_2 6_4 3_2 3_4     | 12_2 12_4 6_2 6_4   | 24_2 12_2
1536 | 4_2 4_4             | 8_2 8_4 4_2 4_4     | 16_2 8_2
2048 | 3_2 3_4             | 6_2 6_4 3_2 3_4     | 12_2 6_2
2432 |                     | 6_2 6_4 3_2 3_4     | 12_2 6_2
3072 |                     | 4_2 4_4             | 8_2 3_2
3648 |                     | 4_2 4_4             | 8_2 3_2
4096 |                     | 3_2 3_4             | 6_2 3_2
4864 |                     |                     | 6_2 3_2
"""

# Additional continual pilots, Table D.1.4; "?" marks those left out when c is odd.
ADDITIONAL = {
    8: "3_2 1731; 4_2 1732; 6_2 1734; 8_2 1736; 12_2 1740; 16_2 1744; 32_2 1696?;"
    "3_4 1731 2886 5733; 4_4 1732 2888 5724; 6_4 1734 2892 5730; 8_4 1736 2896 5720;"
    "12_4 1740 2904 5748; 16_4 1744 2912? 5744?",
    16: "3_2 3471; 4_2 3460; 6_2 3462; 8_2 3464; 12_2 3468; 16_2 3472; 24_2 3480; 32_2 3488;"
    "3_4 3471 5778 11469; 4_4 3460 5768 11452; 6_4 3462 5772 11466; 8_4 3464 5776 11448;"
    "12_4 3468 5784 11460; 16_4 3472 5792 11440; 24_4 3480 5808 11496; 32_4 3488 5824? 11488?",
    32: "3_2 6939; 6_2 6942; 8_2 6920; 12_2 6924; 16_2 6928; 24_2 6936; 32_2 6944",
}
SP32_4_8K = [[1696, 2880, 5728], [], [1696], [1696, 2880], [1696, 2880, 5728]]  # Table D.1.5

# Scattered pilot power in tenths of a dB by boost, Table 8.4.
POWER = """
3_2 0 0 14 22 29;3_4 0 14 29 38 44;4_2 0 6 21 30 36;4_4 0 21 36 44 51;6_2 0 16 31 40 46
6_4 0 30 45 54 60;8_2 0 22 38 46 53;8_4 0 36 51 60 66;12_2 0 32 47 56 62;12_4 0 45 60 69 75
16_2 0 38 53 62 68;16_4 0 52 67 76 82;24_2 0 47 62 71 77;24_4 0 61 76 85 91
32_2 0 54 69 77 84;32_4 0 67 82 91 97
"""
POWER = {
    words[0]: [int(w) for w in words[1:]]
    for words in (part.split() for line in POWER.split("\n") for part in line.split(";"))
    if words
}
PREAMBLE = {8: "16 8 6 4 3 4 3", 16: "32 16 12 8 6 4 3 3 4 4 3", 32: "32 32 24 16 12 8 6 6 8* 8* 3 3"}
GUARDS = [192, 384, 512, 768, 1024, 1536, 2048, 2432, 3072, 3648, 4096, 4864]


def carriers(k, c):
    """Table 7.1; k is 8, 16 or 32."""
    return k // 8 * (6912 - 96 * c) + 1


def common(k, c):
    step = 32 // k
    shift = c * 12 * k // 2
    absolute = [ceil(Fraction(index, step)) for index in CP32[::step]]
    return {index - shift for index in absolute} & set(range(carriers(k, c)))


def additional(k, pattern, c):
    if k == 8 and pattern == "32_4":
        return set(SP32_4_8K[c])
    for row in ADDITIONAL[k].split(";"):
        words = row.split()
        if words[0] == pattern:
            return {int(w.rstrip("?")) for w in words[1:] if c % 2 == 0 or not w.endswith("?")}
    raise KeyError(pattern)


def data_pilots(k, pattern, c, l, dy):
    dx = int(pattern.split("_")[0])
    last = carriers(k, c) - 1
    scattered = set(range(dx * (l % dy), last + 1, dx * dy))
    return scattered | {0, last} | common(k, c) | additional(k, pattern, c)


def geometry():
    for line in ALLOWED.strip().split("\n"):
        columns = [column.strip() for column in line.split("|")]
        for k, column in zip((8, 16, 32), columns[1:]):
            for pattern in column.split():
                for c in range(5):
                    yield k, int(columns[0]), pattern, c


def cells(k, guard, pattern, c):
    dy = int(pattern.split("_")[1])
    noc = carriers(k, c)
    by_symbol = {noc - len(data_pilots(k, pattern, c, l, dy)) for l in range(dy)}
    assert len(by_symbol) == 1, "data cells differ between symbols"
    data = by_symbol.pop()
    total = noc - len(data_pilots(k, pattern, c, 0, 1))
    active = [min(total, ceil(data - (data - total) * 10 ** (tenths / 100.0))) for tenths in POWER[pattern]]
    word = PREAMBLE[k].split()[GUARDS.index(guard)]
    dp = 3 if word.endswith("*") and pattern.startswith("3_") else int(word.rstrip("*"))
    preamble = [carriers(k, r) - len(set(range(0, carriers(k, r), dp)) | common(k, r)) for r in (4, c)]
    return noc, data, total, active, preamble[0], preamble[1]


L1_BASIC = [3820, 934, 484, 259, 163, 112, 69]  # Table 6.17
L1_DETAIL = [  # A, B, parity, bits per cell, information: section 6.5.2.8
    (Fraction(7, 2), 0, 12960, 2, 3240),
    (Fraction(2), 6036, 12960, 2, 3240),
    (Fraction(11, 16), 4653, 9720, 2, 6480),
    (Fraction(29, 32), 3200, 9720, 4, 6480),
    (Fraction(3, 4), 4284, 9720, 6, 6480),
    (Fraction(11, 16), 4900, 9720, 8, 6480),
    (Fraction(49, 256), 8246, 9720, 8, 6480),
]


def detail_cells(mode, bits):
    a, b, parity, e, information = L1_DETAIL[mode - 1]
    outer = bits + 168
    sent = outer + parity - (floor(a * (information - outer)) + b)
    sent = ceil(Fraction(sent, e)) * e
    if mode == 1:
        sent += 2 * floor(Fraction(61, 16) * outer) - 508
    return sent // e


def frame(bandwidth, k, guard, pattern, c, boost, frame_ms, first_boundary, basic, detail, bits):
    """Symbols and cells of the reference frame, and its exact length in ms."""
    _, data, _, active, first, further = cells(k, guard, pattern, c)
    rate = Fraction(384, 1000) * {6: 18, 7: 21, 8: 24}[bandwidth] * 1000  # samples a ms
    symbol = (k * 1024 + guard) / rate
    l1 = L1_BASIC[basic - 1] + detail_cells(detail, bits)
    preambles, room = 1, first
    while room < l1:
        preambles, room = preambles + 1, room + further
    symbols = floor((Fraction(frame_ms) - 2 - preambles * symbol) / symbol)
    boundaries = 2 if first_boundary and symbols > 1 else 1
    payload = room - l1 + (symbols - boundaries) * data + boundaries * active[boost]
    return preambles, symbols, payload, 2 + (preambles + symbols) * symbol


def rates(payload, length_ms, bits_per_cell, length, fifteenths, taken):
    """PLP and net rate in Mbit/s; `taken` are the outer code's bits."""
    blocks = Fraction(payload * bits_per_cell, length) / length_ms  # a ms
    block = length * fifteenths // 15 - taken
    return float(blocks * block / 1000), float(blocks * (block - 16) / 1000)


def main():
    print("/* Made by cells.py: do not edit. */")
    print("/* fft pilots guard c | carriers, data, boundary total, first and further preamble, active by boost */")
    print("static const struct cells_vector cells_vectors[] = {")
    for k, guard, pattern, c in geometry():
        noc, data, total, active, first, further = cells(k, guard, pattern, c)
        print(
            f'    {{"{k}K", "SP{pattern}", {guard}, {c}, {noc}, {data}, {total}, '
            f'{first}, {further}, {{{", ".join(map(str, active))}}}}},'
        )
    print("};")
    print("static const struct detail_vector detail_vectors[] = {")
    for mode in range(1, 8):
        for bits in (200, 253, 320, 777, 1400, 2352):
            print(f"    {{{mode}, {bits}, {detail_cells(mode, bits)}}},")
    print("};")
    print("static const struct frame_vector frame_vectors[] = {")
    codes = [(2, 64800, 2, 192), (6, 16200, 7, 168), (8, 64800, 10, 32), (12, 64800, 13, 0), (4, 16200, 13, 32)]
    for i, (k, guard, pattern, c) in enumerate(geometry()):
        choice = (6 + i % 3, k, guard, pattern, c, i % 5, (50, 100, 250, 1000, 5000)[i // 2 % 5], i % 7 < 3,
                  1 + i % 7, 1 + i // 3 % 7, 200 + 11 * (i % 100))
        preambles, symbols, payload, length = frame(*choice)
        m, n, r, taken = codes[i // 5 % 5]
        plp, net = rates(payload, length, m, n, r, taken)
        words = [f'"{k}K"', f'"SP{pattern}"', payload]
        words += [f"{float(value):.12f}" for value in (length, plp, net)]
        words += [choice[0], guard] + [str(int(v)) for v in choice[4:]] + [m, n, r, taken, preambles, symbols]
        print("    {" + ", ".join(map(str, words)) + "},")
    print("};")


main()
