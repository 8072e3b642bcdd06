. "$TOP/tests/cli/expect.sh"
# what is installed into a tree is removed again, and nothing else is
here=$PWD; cd "$TOP" || exit 1
mkdir -p "$here/tree/usr/bin"; echo mine >"$here/tree/usr/bin/other"
make -s install DESTDIR="$here/tree" PREFIX=/usr >"$here/out" 2>&1 || { cat "$here/out"; fail "make install"; }
for f in bin/wetrun lib/libwetrun.a lib/pkgconfig/wetrun.pc share/man/man1/wetrun.1 share/man/man5/wetrun-files.5 share/man/man7/wetrun-findings.7 \
  share/bash-completion/completions/wetrun share/zsh/site-functions/_wetrun share/fish/vendor_completions.d/wetrun.fish share/doc/wetrun/tutorial.md; do
  [ -s "$here/tree/usr/$f" ] || fail "not installed: $f"
done
"$here/tree/usr/bin/wetrun" --version >/dev/null || fail "it does not run"
make -s uninstall DESTDIR="$here/tree" PREFIX=/usr
[ "$(find "$here/tree" -type f -o -type l)" = "$here/tree/usr/bin/other" ] || { find "$here/tree" -type f; fail "left behind"; }
