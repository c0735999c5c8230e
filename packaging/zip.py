#!/usr/bin/env python3
"""Zips a folder: files in the order of their names, times of SOURCE_DATE_EPOCH, so that the same files give the same zip.

usage: zip.py FOLDER FILE.zip
"""
import os
import pathlib
import sys
import time
import zipfile

folder, target = pathlib.Path(sys.argv[1]), sys.argv[2]
moment = time.gmtime(int(os.environ["SOURCE_DATE_EPOCH"]))[:6]
with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            entry = zipfile.ZipInfo(path.relative_to(folder.parent).as_posix(), moment)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            packed.writestr(entry, path.read_bytes())
