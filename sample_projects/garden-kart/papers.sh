#!/bin/sh
# Writes this sample's shop papers into the folder given, or into shop-papers.
set -eu
out=${1:-shop-papers}
copewright joint --tube 38.1x1.6 --onto 54 --angle 62 --offset 6 --out "$out/down-tube"
copewright bend --tube 38.1x1.6 --path "0,0,0 400,0,0 650,0,250 950,0,330.385" --clr 115 \
  --trials "45:43.2 90:87.1" --trim 20 --tool-reference 12 --out "$out/rail"
