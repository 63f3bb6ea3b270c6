dd if=/dev/zero bs=65536 count=160 2>/dev/null | tr '\0' a >build.ini
