printf '\211PNG\r\n\032\n\000\000\000\rIHDR' >build.ini
