/* The files of the page, taken into the program as they stand in src/cli/page. The Makefile builds in the top folder,
 * which is where the assembler looks from. */
#include "cli/serve.h"

#include <string.h>

#define TAKEN(name, file) ".balign 16\n" name ":\n.incbin \"src/cli/page/" file "\"\n" name "_end:\n.byte 0\n"

__asm__(".section .rodata\n" TAKEN("serve_page_html", "page.html") TAKEN("serve_page_css", "page.css")
            TAKEN("serve_page_script", "page.js") TAKEN("serve_page_chart", "chart.js") ".previous\n");

extern const char serve_page_html[];
extern const char serve_page_html_end[];
extern const char serve_page_css[];
extern const char serve_page_css_end[];
extern const char serve_page_script[];
extern const char serve_page_script_end[];
extern const char serve_page_chart[];
extern const char serve_page_chart_end[];

bool serve_page_find(const char *name, serve_page *page)
{
    const struct {
        const char *name, *type, *from, *to;
    } pages[] = {{"", "text/html; charset=utf-8", serve_page_html, serve_page_html_end},
                 {"page.css", "text/css; charset=utf-8", serve_page_css, serve_page_css_end},
                 {"page.js", "text/javascript; charset=utf-8", serve_page_script, serve_page_script_end},
                 {"chart.js", "text/javascript; charset=utf-8", serve_page_chart, serve_page_chart_end}};
    for (size_t i = 0; i < sizeof pages / sizeof pages[0]; i++) {
        if (strcmp(pages[i].name, name) == 0) {
            *page = (serve_page){pages[i].type, pages[i].from, (size_t)(pages[i].to - pages[i].from)};
            return true;
        }
    }
    return false;
}
