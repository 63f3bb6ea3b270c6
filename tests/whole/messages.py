"""Every message that the program can write belongs to a class that docs/messages.md explains.
messages.py: from the top of the source. The forms of the messages of each class stand in tests/whole/messages.txt under
the heading that the class has there, a regular expression a line. Held against them are the texts in the sources that
go to a finding, an error or a note, and what every rejected input is told."""

import glob
import re
import sys

# What writes a message, and the argument that is its text is the first that is a string of words.
WRITERS = (
    "swl_diag_add|swl_diag_file|swl_err_set|swl_notes_add|swl_belt_tell|fprintf|usage|refuse|refuse_value|tell|fault_set|cli_say|"
    "text_refuse|points_refuse|note|png_error|missing|exactly_one|read_bare|not_an_option"
)
CALL = re.compile(r"\b(%s)\(" % WRITERS)
STRING = re.compile(r'"((?:[^"\\]|\\.)*)"')
# Parts of a conversion, macros of the C library's formats among them.
CONVERSION = re.compile(r"%[-+ #0]*[0-9*]*(?:\.[0-9*]+)?(?:z|l|ll|h)?[a-zA-Z]")


def arguments(text, start):
    """From behind the bracket to its partner, strings and brackets heeded."""
    depth = 1
    at = start
    while depth > 0:
        if text[at] == '"':
            at = STRING.match(text, at).end() - 1
        elif text[at] == "'":
            at = text.index("'", at + (3 if text[at + 1] == "\\" else 2))
        elif text[at] == "(":
            depth += 1
        elif text[at] == ")":
            depth -= 1
        at += 1
    return text[start : at - 1]


def formats():
    """Yields the place and the text of each message in the sources."""
    for path in sorted(glob.glob("src/*/*.c")):
        with open(path, encoding="utf-8") as file:
            text = re.sub(r"/\*.*?\*/", lambda m: re.sub(r"[^\n]", " ", m.group(0)), file.read(), flags=re.S)
        for call in CALL.finditer(text):
            inside = arguments(text, call.end())
            # Neighbouring strings are one.
            inside = re.sub(r'"\s*(?:PRI[a-zA-Z0-9]+\s*)?"', "", inside)
            line = text.count("\n", 0, call.start()) + 1
            for string in STRING.findall(inside):
                words = string.replace("%%", "\0").replace("\\n", " ").replace('\\"', '"')
                words = CONVERSION.sub("N", words).replace("\0", "%")
                # A shorter one is a name or a part of speech.
                if len(re.findall(r"[a-z]{2,}", words)) >= 3 and len(words.split()) >= 3 and not words.startswith("{"):
                    yield "%s:%d" % (path, line), words


def rejected():
    """Yields the place and each line that a rejected input is told, less its place in the file."""
    for path in sorted(glob.glob("tests/reject/*/error")):
        if path.split("/")[-2] == "cli-no-words":
            continue  # the help
        with open(path, encoding="utf-8", errors="replace") as file:
            for number, line in enumerate(file, 1):
                said = re.match(r"(?:\S.*?: (?:error|warning): |sweptline)(.*)", line)
                if said:
                    yield "%s:%d" % (path, number), said.group(1)


def forms():
    """The forms by the heading of their class."""
    by_heading = {}
    with open("tests/whole/messages.txt", encoding="utf-8") as file:
        for line in file.read().split("\n"):
            if line.startswith("### "):
                heading = line[4:]
                by_heading[heading] = []
            elif line and not line.startswith("#"):
                by_heading[heading].append(re.compile(line))
    return by_heading


def main():
    with open("docs/messages.md", encoding="utf-8") as file:
        page = file.read()
    by_heading = forms()
    classes = [form for said in by_heading.values() for form in said]
    hits = [0] * len(classes)
    checked = 0
    without = []
    for place, words in list(formats()) + list(rejected()):
        checked += 1
        of = [i for i, form in enumerate(classes) if form.search(words)]
        for i in of:
            hits[i] += 1
        if not of:
            without.append((place, words))
    failed = 0
    for place, words in without:
        print("messages.py: %s: no class of docs/messages.md explains: %s" % (place, words[:150]))
        failed += 1
    for form, count in zip(classes, hits):
        if count == 0 or count > checked / 4:
            print("messages.py: tests/whole/messages.txt: `%s` fits %d of %d messages" % (form.pattern, count, checked))
            failed += 1
    headings = re.findall(r"^### (.*)$", page, flags=re.M)
    for heading in headings:
        if not by_heading.get(heading):
            print("messages.py: tests/whole/messages.txt: the class `%s` has no form" % heading)
            failed += 1
    for heading in by_heading:
        if heading not in headings:
            print("messages.py: docs/messages.md has no class `%s`" % heading)
            failed += 1
    if checked < 1000:
        print("messages.py: only %d messages were found" % checked)
        failed += 1
    print("%d passed, %d failed" % (checked - len(without), failed))
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
