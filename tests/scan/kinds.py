"""Every kind of PNG against the pixels it was made of: kinds.py DUMP FOLDER

The files are written here byte by byte after the PNG specification (W3C, Portable Network Graphics, second edition:
section 5 chunks, 7.2 scanlines, 8 interlacing, 9 filtering, 12.2 gamma, 13.12 sample depth rescaling), with no PNG
library, and what the program read is compared with what went in. Pillow, where it is there, reads the same files and is
held against both, transparency and gamma left out, which it does not apply. Broken files must be refused with words.
"""
import itertools, os, random, struct, subprocess, sys, zlib

dump, folder = sys.argv[1], sys.argv[2]
CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
DEPTHS = {0: (1, 2, 4, 8, 16), 2: (8, 16), 3: (1, 2, 4, 8), 4: (8, 16), 6: (8, 16)}
PASSES = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
SIGNATURE = b"\x89PNG\r\n\x1a\n"


def chunk(name, data, crc=None):
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data) if crc is None else crc)


def head(width, height, depth, kind, interlace=0):
    return chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, interlace))


def packed(samples, depth):
    if depth == 16:
        return b"".join(struct.pack(">H", v) for v in samples)
    bits = "".join(format(v, "0%db" % depth) for v in samples)
    bits += "0" * (-len(bits) % 8)
    return bytes(int(bits[i:i + 8], 2) for i in range(0, len(bits), 8))


def paeth(a, b, c):
    p = a + b - c
    return min((abs(p - a), 0, a), (abs(p - b), 1, b), (abs(p - c), 2, c))[2]


def filtered(row, above, step, kind):
    out = bytearray([kind])
    for i, v in enumerate(row):
        a = row[i - step] if i >= step else 0
        b = above[i]
        c = above[i - step] if i >= step else 0
        out.append((v - (0, a, b, (a + b) // 2, paeth(a, b, c))[kind]) & 255)
    return bytes(out)


class Picture:
    """Random samples of one kind, and the RGB that they stand for."""

    def __init__(self, kind, depth, width=19, height=13, interlace=0, row_filter=None, trns=False, gamma=None,
                 split=0, level=6, extra=b"", seed=1, srgb=False):
        self.__dict__.update(locals())
        r = random.Random(seed)
        top = (1 << depth) - 1
        self.palette = [tuple(r.randrange(256) for _ in range(3)) for _ in range(min(top + 1, 200))] if kind == 3 else None
        most = len(self.palette) - 1 if kind == 3 else top
        self.samples = [[[r.choice((0, most, r.randint(0, most))) for _ in range(CHANNELS[kind])] for _ in range(width)]
                        for _ in range(height)]
        self.clear = None
        if trns and kind == 3:
            self.clear = [r.randrange(256) for _ in range(max(1, len(self.palette) // 2))]
        elif trns:
            self.clear = list(self.samples[height // 2][width // 2])

    def bytes(self):
        out = SIGNATURE + head(self.width, self.height, self.depth, self.kind, self.interlace)
        if self.gamma is not None:
            out += chunk(b"gAMA", struct.pack(">I", round(self.gamma * 100000)))
        if self.srgb:
            out += chunk(b"sRGB", b"\0")
        out += self.extra
        if self.palette:
            out += chunk(b"PLTE", b"".join(bytes(c) for c in self.palette))
        if self.clear is not None:
            out += chunk(b"tRNS", bytes(self.clear) if self.kind == 3 else b"".join(struct.pack(">H", v) for v in self.clear))
        raw = b""
        step = max(1, CHANNELS[self.kind] * self.depth // 8)
        number = 0
        for x0, y0, dx, dy in PASSES if self.interlace else ((0, 0, 1, 1),):
            above = None
            for y in range(y0, self.height, dy):
                samples = [v for x in range(x0, self.width, dx) for v in self.samples[y][x]]
                if not samples:
                    continue
                row = packed(samples, self.depth)
                above = bytes(len(row)) if above is None else above
                raw += filtered(row, above, step, number % 5 if self.row_filter is None else self.row_filter)
                number += 1
                above = row
        data = zlib.compress(raw, self.level)
        for i in range(0, len(data), self.split or len(data)):
            out += chunk(b"IDAT", data[i:i + (self.split or len(data))])
        return out + chunk(b"IEND", b"")

    def pixel(self, sample, plain=False):
        """RGB of one pixel, 0 to 255 and not rounded; on white, or plain as Pillow's RGB has it."""
        top = (1 << self.depth) - 1
        alpha = 1.0
        if self.kind == 3:
            colour = [v / 255 for v in self.palette[sample[0]]]
            if self.clear is not None and sample[0] < len(self.clear):
                alpha = self.clear[sample[0]] / 255
        else:
            n = 3 if self.kind & 2 else 1
            colour = [v / top for v in sample[:n]] * (1 if n == 3 else 3)
            if self.kind & 4:
                alpha = sample[-1] / top
            elif self.clear is not None and sample == self.clear:
                alpha = 0.0
        if plain:
            return [255 * v for v in colour]
        if self.gamma is not None and not self.srgb:
            colour = [v ** (1 / (self.gamma * 2.2)) for v in colour]
        return [255 * (v * alpha + 1 - alpha) for v in colour]


def kinds():
    for kind, depths in DEPTHS.items():
        for depth, interlace in itertools.product(depths, (0, 1)):
            yield "basic-%d-%d-%d" % (kind, depth, interlace), Picture(kind, depth, interlace=interlace)
            if kind in (0, 2, 3):
                yield "clear-%d-%d-%d" % (kind, depth, interlace), Picture(kind, depth, interlace=interlace, trns=True)
    for kind, depth in ((0, 8), (0, 16), (2, 8), (2, 16), (3, 8), (3, 2), (4, 8), (6, 16)):
        for row_filter in range(5):
            yield "filter-%d-%d-%d" % (kind, depth, row_filter), Picture(kind, depth, row_filter=row_filter, seed=2)
    for gamma in (0.35, 0.45, 0.45455, 0.55, 0.7, 1.0, 2.5):
        for kind, depth in ((0, 16), (2, 8), (3, 4), (6, 8)):
            yield "gamma-%g-%d-%d" % (gamma, kind, depth), Picture(kind, depth, gamma=gamma, seed=3)
    yield "gamma-and-srgb", Picture(2, 8, gamma=1.0, srgb=True)
    for size in list(range(1, 10)) + list(range(32, 41)):
        for interlace in (0, 1):
            yield "size-%d-%d" % (size, interlace), Picture(3, 4, size, size, interlace, seed=size)
    for width, height in ((1, 40), (40, 1), (3, 257), (257, 3)):
        yield "size-%dx%d" % (width, height), Picture(2, 8, width, height, 1)
    for split in (1, 2, 7, 100):
        yield "idat-%d" % split, Picture(2, 16, split=split)
    for level in (0, 1, 9):
        yield "level-%d" % level, Picture(6, 8, level=level)
    text = chunk(b"tEXt", b"Comment\0invented") + chunk(b"tIME", b"\x07\xd0\1\1\0\0\0") + chunk(b"bKGD", b"\0\1\0\2\0\3")
    yield "ancillary", Picture(2, 8, extra=text)
    yield "odd-profile", Picture(2, 8, extra=chunk(b"iCCP", b"x\0\0" + zlib.compress(b"no profile at all")))
    yield "dpi-300", Picture(0, 8, extra=chunk(b"pHYs", struct.pack(">IIB", 11811, 11811, 1)))


def broken():
    good = Picture(2, 8).bytes()
    body = good[8 + 25:-12]
    end = chunk(b"IEND", b"")
    rows = b"".join(b"\0" + bytes(19 * 3) for _ in range(13))
    start = SIGNATURE + head(19, 13, 8, 2)
    yield "empty", b"", "is empty"
    yield "text", b"[scan]\nimage = chart.png\n", "is not a PNG picture"
    yield "jpeg", bytes.fromhex("ffd8ffe000104a46494600010100000100010000ffd9"), "is a JPEG picture"
    yield "gif", b"GIF89a\1\0\1\0\0\0\0", "of another kind than PNG"
    yield "tiff", b"MM\0*\0\0\0\x08", "of another kind than PNG"
    yield "signature-only", SIGNATURE, "without its header"
    yield "signature-of-a-text-transfer", good.replace(b"\r\n", b"\n", 1), "is not a PNG picture"
    yield "header-two-million", SIGNATURE + head(2000000, 2000000, 8, 2) + body + end, "2000000 x 2000000 pixels; at most 20000"
    yield "header-20001", SIGNATURE + head(20001, 10, 8, 2) + body + end, "20001 x 10 pixels; at most 20000"
    yield "header-41-million", SIGNATURE + head(8000, 5001, 8, 2) + body + end, "40 million in all"
    yield "header-all-ones", SIGNATURE + head(2 ** 32 - 1, 2 ** 32 - 1, 8, 2) + body + end, "at most 20000"
    yield "zero-width", SIGNATURE + head(0, 13, 8, 2) + body + end, "0 x 13 pixels, which is no picture"
    yield "zero-height", SIGNATURE + head(19, 0, 8, 2) + body + end, "19 x 0 pixels, which is no picture"
    yield "depth-3", SIGNATURE + head(19, 13, 3, 0) + body + end, "cannot be read"
    yield "depth-4-in-colour", SIGNATURE + head(19, 13, 4, 2) + body + end, "cannot be read"
    yield "kind-1", SIGNATURE + head(19, 13, 8, 1) + body + end, "cannot be read"
    yield "interlace-2", SIGNATURE + head(19, 13, 8, 2, 2) + body + end, "cannot be read"
    for cut in (9, 20, 33, 40, len(good) // 2, len(good) - 13, len(good) - 5):
        yield "cut-%d" % cut, good[:cut], "without its header" if cut < 24 else "the file ends too early"
    for at, name in ((29, "header"), (len(good) - 14, "data"), (len(good) - 1, "end")):
        wrong = bytearray(good)
        wrong[at] ^= 1
        yield "wrong-checksum-" + name, bytes(wrong), "CRC error"
    yield "wrong-checksum-gamma", start + chunk(b"gAMA", b"\0\0\xb1\x8f", 1) + body + end, "CRC error"
    yield "palette-missing", SIGNATURE + head(19, 13, 8, 3) + chunk(b"IDAT", zlib.compress(bytes(20 * 13))) + end, "PLTE"
    yield "palette-empty", SIGNATURE + head(19, 13, 8, 3) + chunk(b"PLTE", b"") + chunk(b"IDAT", zlib.compress(bytes(20 * 13))) + end, "palette"
    yield "palette-of-four-bytes", SIGNATURE + head(19, 13, 8, 3) + chunk(b"PLTE", b"abcd") + chunk(b"IDAT", zlib.compress(bytes(20 * 13))) + end, "PLTE"
    short = Picture(3, 8, seed=5)
    short.palette = short.palette[:150]
    yield "palette-index-past-its-end", short.bytes(), "of its palette, which has 0 to 149"
    short = Picture(3, 4, interlace=1, seed=6)
    short.palette = short.palette[:9]
    yield "palette-index-past-its-end-interlaced", short.bytes(), "of its palette, which has 0 to 8"
    data = chunk(b"IDAT", zlib.compress(rows))
    yield "palette-behind-data", SIGNATURE + head(19, 13, 8, 3) + data + chunk(b"PLTE", b"abc") + end, "PLTE"
    yield "two-headers", start + head(19, 13, 8, 2) + data + end, "IHDR"
    yield "no-data", start + end, "IEND"
    yield "unknown-critical", start + chunk(b"ABCD", b"x") + data + end, "critical chunk"
    yield "no-end", start + data, "the file ends too early"
    yield "no-filter", start + chunk(b"IDAT", zlib.compress(b"\7" + rows[1:])) + end, "filter"
    yield "no-deflate", start + chunk(b"IDAT", b"invented, not compressed") + end, "IDAT"
    yield "too-little-data", start + chunk(b"IDAT", zlib.compress(rows[:300])) + end, "Not enough image data"
    yield "too-much-data", start + chunk(b"IDAT", zlib.compress(rows + rows)) + end, "IDAT"
    yield "too-much-behind-data", start + chunk(b"IDAT", zlib.compress(rows) + b"more") + end, "IDAT"
    yield "animation", start + chunk(b"acTL", b"\0\0\0\2\0\0\0\0") + data + end, "animation"


passed = failed = 0


def tell(name, why):
    global passed, failed
    if why:
        failed += 1
        print("%s: %s" % (name, why))
    else:
        passed += 1


def read(path):
    return open(path, "rb").read() if os.path.exists(path) else None


good = list(kinds())
bad = list(broken())
names = []
for name, data in [(n, p.bytes()) for n, p in good] + [(n, d) for n, d, _ in bad]:
    names.append(os.path.join(folder, name + ".png"))
    open(names[-1], "wb").write(data)
if subprocess.run([dump] + names).returncode != 0:
    sys.exit("kinds.py: %s failed" % dump)
try:
    from PIL import Image
except ImportError:
    sys.exit("kinds.py: python3-pil is missing; make deps-check")
for name, picture in good:
    path = os.path.join(folder, name + ".png")
    got = read(path + ".rgb")
    if got is None:
        tell(name, "refused: %s" % read(path + ".why"))
        continue
    want = [v for row in picture.samples for sample in row for v in picture.pixel(sample)]
    # Half a step of rounding; with alpha or 16 bits the colour is rounded once before; a gamma table rounds too.
    changed = picture.gamma is not None and not picture.srgb
    room = 2.5 if changed else 1.51 if picture.kind & 4 else 1.01 if picture.clear else 0.51
    worst = max(abs(a - b) for a, b in zip(want, got)) if len(want) == len(got) else 999
    size = read(path + ".size").split()
    why = "" if worst <= room else "off by %.2f of 255, %.2f allowed" % (worst, room)
    if [int(v) for v in size[:2]] != [picture.width, picture.height]:
        why = "size read as %s" % size
    if name == "dpi-300" and abs(float(size[2]) - 300) > 0.01:
        why = "dots per inch read as %s" % size[2]
    tell(name, why)
    if picture.depth <= 8 and not changed and not picture.kind & 4 and picture.clear is None:
        other = Image.open(path).convert("RGB").tobytes()
        tell(name + " by Pillow", "" if other == got else "Pillow reads other pixels")
for name, data, words in bad:
    path = os.path.join(folder, name + ".png")
    why = read(path + ".why")
    why = None if why is None else why.decode()
    tell(name, "was read" if why is None else "" if words in why else "refused with `%s`, not with `%s`" % (why, words))
print("%d kinds of picture, %d broken ones: %d passed, %d failed" % (len(good), len(bad), passed, failed))
sys.exit(failed != 0)
