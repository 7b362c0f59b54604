#!/usr/bin/env bash
# Builds ../viewer.min.js from the sources here. Needs Node.js 20 or later and npm.
set -euo pipefail
cd "$(dirname "$0")"
npm ci --no-audit --no-fund --ignore-scripts --silent
digest="$(cat data.js scene.js strip.js main.js package-lock.json | sha256sum | cut -c1-16)"
node_modules/.bin/esbuild main.js --bundle --minify --format=iife --target=es2022 \
  --legal-comments=inline --charset=ascii --log-level=warning \
  --banner:js="/* gustworthy replay viewer, sources ${digest}. Contains three.js, MIT licence, (c) three.js authors. */" \
  --outfile=../viewer.min.js
rm -rf node_modules
