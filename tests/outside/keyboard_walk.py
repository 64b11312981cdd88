#!/usr/bin/python3
"""keyboard_walk.py PROGRAM RULES CASE -- walk a plan's page with the Tab key in headless Chromium.

Every control must be reached, in the order of the page, with a visible focus; the space bar ticks a step; the first
stop leads past the head; the page makes no request; pictures have names; text has enough contrast (WCAG 2, 1.4.3) in
light and dark.
"""
import os
import subprocess
import sys
import tempfile

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.keys import Keys

CONTRAST = """
function lum(c){const v=c.match(/[\\d.]+/g).slice(0,3).map(x=>x/255).map(x=>x<=.03928?x/12.92:((x+.055)/1.055)**2.4);return .2126*v[0]+.7152*v[1]+.0722*v[2]}
function back(e){for(;e;e=e.parentElement){const b=getComputedStyle(e).backgroundColor;if(!/, 0\\)$/.test(b))return b}return 'rgb(255,255,255)'}
let low=99;
for(const e of document.querySelectorAll('h1,h2,p,li,label,span,dt,dd,summary')){const a=lum(getComputedStyle(e).color),b=lum(back(e));
 low=Math.min(low,(Math.max(a,b)+.05)/(Math.min(a,b)+.05))}
return low"""


def browser(dark):
    options = Options()
    options.binary_location = "/usr/bin/chromium"
    for flag in ("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
                 "--disable-component-update", "--disable-sync", "--user-data-dir=" + tempfile.mkdtemp()):
        options.add_argument(flag)
    if dark:
        options.add_argument("--blink-settings=preferredColorScheme=0")
    return webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)


def focus(page):
    return page.execute_script("const e=document.activeElement;return e===document.body?null:[e.tagName,e.id||e.className,"
                               "getComputedStyle(e).outlineStyle!=='none',e.getBoundingClientRect().left>=0]")


def walk(page):
    wanted = page.execute_script("return Array.from(document.querySelectorAll('a,input,summary')).map(e=>[e.tagName,e.id||e.className])")
    seen = []
    for _ in wanted:
        page.switch_to.active_element.send_keys(Keys.TAB)
        tag, name, outlined, visible = focus(page)
        assert outlined and visible, "%s %s has the focus and does not show it" % (tag, name)
        seen.append([tag, name])
    assert seen == wanted, "the Tab key goes %s, the page %s" % (seen, wanted)
    assert len([t for t, _ in seen if t == "INPUT"]) > 3, "too few steps to prove anything"


def tick(page):
    page.find_element("id", "step-2").send_keys(Keys.SPACE)
    assert page.find_element("id", "step-2").is_selected(), "the space bar does not tick a step"
    details = page.find_elements("css selector", "details")
    if details:
        details[0].find_element("css selector", "summary").send_keys(Keys.ENTER)
        assert details[0].get_attribute("open"), "Enter does not open the amounts"


def names(page):
    for svg in page.find_elements("css selector", "svg"):
        assert svg.get_attribute("role") == "img" and svg.get_attribute("aria-label"), "a picture has no name"
    unlabelled = page.execute_script("return Array.from(document.querySelectorAll('input')).filter(e=>!e.labels.length).length")
    assert not unlabelled, "a box has no label"
    ids = page.execute_script("return Array.from(document.querySelectorAll('[id]')).map(e=>e.id)")
    assert len(ids) == len(set(ids)), "an id is there twice"


def main(program, rules, case):
    html = subprocess.run([program, "plan", "--only-rules", "--rules=" + rules, "--format=html", case], check=True, stdout=subprocess.PIPE).stdout
    with tempfile.NamedTemporaryFile(suffix=".html", delete=False) as f:
        f.write(html)
    for dark in (False, True):
        page = browser(dark)
        try:
            page.get("file://" + f.name)
            requests = page.execute_script("return performance.getEntriesByType('resource').length")
            assert requests == 0, "the page made %d requests" % requests
            assert page.execute_script("return matchMedia('(prefers-color-scheme: dark)').matches") == dark, "no dark scheme to look at"
            contrast = page.execute_script(CONTRAST)
            assert contrast >= 4.5, "contrast %.2f (dark: %s)" % (contrast, dark)
            assert page.execute_script("return document.documentElement.scrollWidth<=innerWidth"), "wider than the window"
            walk(page)
            tick(page)
            names(page)
            page.set_window_size(400, 800)
            assert page.execute_script("return document.documentElement.scrollWidth<=innerWidth"), "wider than a telephone"
        finally:
            page.quit()
    os.unlink(f.name)
    print("walked in light and dark")


main(*sys.argv[1:])
