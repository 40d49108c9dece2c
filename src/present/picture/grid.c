/* Writes text into cells, clipped at the edges, and dumps the cells and their roles as text. */
#include "present/picture/grid.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum role role_of_generation(enum generation generation)
{
    return generation == GENERATION_FIRST ? ROLE_FIRST : ROLE_SECOND;
}

bool grid_resize(struct grid *grid, int rows, int columns)
{
    free(grid->cells);
    grid->cells = NULL;
    grid->rows = grid->columns = 0;
    if (rows <= 0 || columns <= 0) {
        return true;
    }
    grid->cells = calloc((size_t)rows * (size_t)columns, sizeof *grid->cells);
    if (!grid->cells) {
        return false;
    }
    grid->rows = rows;
    grid->columns = columns;
    grid_clear(grid);
    return true;
}

void grid_free(struct grid *grid)
{
    free(grid->cells);
    *grid = (struct grid){0};
}

void grid_clear(struct grid *grid)
{
    for (int i = 0; i < grid->rows * grid->columns; i++) {
        grid->cells[i] = (struct grid_cell){' ', ROLE_PLAIN};
    }
}

/* What stands for a drawing character where only ASCII can be shown. */
static const struct {
    uint32_t glyph;
    char ascii;
} folds[] = {
    {0x00A0, ' '},  {0x00B1, '~'},  {0x00B5, 'u'}, {0x00B7, '.'}, {0x00D7, 'x'}, {0x00B0, 'o'},
    {0x03BC, 'u'},  {0x2010, '-'},  {0x2011, '-'}, {0x2012, '-'}, {0x2013, '-'}, {0x2014, '-'},
    {0x2018, '\''}, {0x2019, '\''}, {0x201C, '"'}, {0x201D, '"'}, {0x2022, '*'}, {0x2026, '~'},
    {0x2190, '<'},  {0x2191, '^'},  {0x2192, '>'}, {0x2193, 'v'}, {0x2212, '-'}, {0x221E, '8'},
    {0x2264, '<'},  {0x2265, '>'},  {0x2500, '-'}, {0x2502, '|'}, {0x250C, '+'}, {0x2510, '+'},
    {0x2514, '+'},  {0x2518, '+'},  {0x251C, '|'}, {0x2524, '|'}, {0x252C, '+'}, {0x2534, '+'},
    {0x253C, '+'},  {0x254C, '-'},  {0x2550, '='}, {0x2588, '#'}, {0x2591, ':'}, {0x2592, ':'},
    {0x25AA, '#'},  {0x25B2, '^'},  {0x25B6, '>'}, {0x25B8, '>'}, {0x25BC, 'v'}, {0x25C0, '<'},
    {0x25C2, '<'},  {0x25C6, '*'},  {0x25CB, 'o'}, {0x25CF, '@'},
};

static uint32_t fold(uint32_t glyph)
{
    if (glyph < 0x7F) {
        return glyph;
    }
    for (size_t i = 0; i < sizeof folds / sizeof folds[0]; i++) {
        if (folds[i].glyph == glyph) {
            return (unsigned char)folds[i].ascii;
        }
    }
    return '?';
}

/* Code points that every terminal draws one column wide. Wide and combining characters would shift
 * all that stands to their right, so they are shown as '?'. */
static bool is_narrow(uint32_t glyph)
{
    static const struct {
        uint32_t first, last;
    } ranges[] = {
        {0x0020, 0x007E}, {0x00A0, 0x00AC}, {0x00AE, 0x02FF}, {0x0370, 0x0377}, {0x037A, 0x037F},
        {0x0384, 0x038A}, {0x038C, 0x038C}, {0x038E, 0x03A1}, {0x03A3, 0x0482}, {0x048A, 0x052F},
        {0x1E00, 0x1EFF}, {0x2010, 0x2027}, {0x2030, 0x205E}, {0x20A0, 0x20BF}, {0x2190, 0x2311},
        {0x2500, 0x25FC}, {0x25FF, 0x25FF}, {0x2800, 0x28FF},
    };
    for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
        if (glyph >= ranges[i].first && glyph <= ranges[i].last) {
            return true;
        }
    }
    return false;
}

void grid_put(struct grid *grid, int row, int column, uint32_t glyph, enum role role)
{
    if (row < 0 || row >= grid->rows || column < 0 || column >= grid->columns) {
        return;
    }
    if (!is_narrow(glyph)) {
        glyph = '?';
    }
    grid->cells[row * grid->columns + column] = (struct grid_cell){
        grid->ascii ? fold(glyph) : glyph, (uint8_t)((unsigned)role < ROLE_COUNT ? role : 0)};
}

/* Takes one code point off the text; malformed bytes give '?' one at a time. Overlong forms,
 * surrogates and what lies above U+10FFFF are malformed. */
static uint32_t take(const char **utf8)
{
    const unsigned char *s = (const unsigned char *)*utf8;
    int more = s[0] < 0x80             ? 0
               : (s[0] & 0xE0) == 0xC0 ? 1
               : (s[0] & 0xF0) == 0xE0 ? 2
               : (s[0] & 0xF8) == 0xF0 ? 3
                                       : -1;
    static const uint32_t lowest[] = {0, 0x80, 0x800, 0x10000};
    if (more < 0) {
        *utf8 += 1;
        return '?';
    }
    uint32_t glyph = more == 0 ? s[0] : s[0] & (0x3Fu >> more);
    for (int i = 1; i <= more; i++) {
        if ((s[i] & 0xC0) != 0x80) {
            *utf8 += 1;
            return '?';
        }
        glyph = glyph << 6 | (s[i] & 0x3Fu);
    }
    *utf8 += 1 + more;
    bool bad = glyph < lowest[more] || glyph > 0x10FFFF || (glyph >= 0xD800 && glyph <= 0xDFFF);
    return bad || glyph < 0x20 || glyph == 0x7F ? '?' : glyph;
}

void grid_tell_cut(struct grid *grid, const char *text)
{
    if (grid->cuts) {
        text_printf(grid->cuts, "%s\n", text);
    }
}

int grid_write(struct grid *grid, int row, int column, int width, enum role role, const char *utf8)
{
    const char *whole = utf8;
    int written = 0;
    int most = grid->columns - column;
    if (width >= 0 && width < most) {
        most = width;
    }
    while (*utf8 && written < most) {
        grid_put(grid, row, column + written, take(&utf8), role);
        written++;
    }
    if (*utf8) {
        grid_tell_cut(grid, whole);
    }
    return written;
}

int grid_printf(struct grid *grid, int row, int column, int width, enum role role,
                const char *format, ...)
{
    char buffer[1024];
    va_list arguments;
    va_start(arguments, format);
    int length = vsnprintf(buffer, sizeof buffer, format, arguments);
    va_end(arguments);
    return length < 0 ? 0 : grid_write(grid, row, column, width, role, buffer);
}

/* Bytes of the longest beginning of `text` that fits `width` columns and ends between words where
 * it can; never 0 for a text that is not empty. */
static size_t line_bytes(const char *text, int width)
{
    const char *at = text, *space = NULL;
    int columns = 0;
    while (*at && *at != '\n') {
        if (*at == ' ') {
            space = at;
        }
        if (columns == width) {
            return (size_t)((space && space > text ? space : at) - text);
        }
        take(&at);
        columns++;
    }
    return (size_t)(at - text);
}

int grid_write_wrapped(struct grid *grid, struct rect area, enum role role, const char *utf8)
{
    const char *whole = utf8;
    int rows = 0;
    if (area.columns <= 0) {
        return 0;
    }
    while (*utf8) {
        size_t bytes = line_bytes(utf8, area.columns);
        const char *at = utf8, *end = utf8 + bytes;
        for (int column = 0; at < end; column++) {
            uint32_t glyph = take(&at);
            if (rows < area.rows) {
                grid_put(grid, area.row + rows, area.column + column, glyph, role);
            }
        }
        utf8 = end;
        if (*utf8 == '\n') {
            utf8++;
        } else {
            utf8 += strspn(utf8, " ");
        }
        rows++;
    }
    if (rows > area.rows) {
        grid_tell_cut(grid, whole);
    }
    return rows;
}

static void append_utf8(struct text *out, uint32_t glyph)
{
    char bytes[4];
    size_t count;
    if (glyph < 0x80) {
        bytes[0] = (char)glyph;
        count = 1;
    } else if (glyph < 0x800) {
        bytes[0] = (char)(0xC0 | glyph >> 6);
        bytes[1] = (char)(0x80 | (glyph & 0x3F));
        count = 2;
    } else {
        bytes[0] = (char)(0xE0 | glyph >> 12);
        bytes[1] = (char)(0x80 | (glyph >> 6 & 0x3F));
        bytes[2] = (char)(0x80 | (glyph & 0x3F));
        count = 3;
    }
    text_append_bytes(out, bytes, count);
}

void grid_dump(const struct grid *grid, struct text *out)
{
    for (int row = 0; row < grid->rows; row++) {
        const struct grid_cell *cells = grid->cells + (size_t)row * (size_t)grid->columns;
        int last = grid->columns;
        while (last > 0 && cells[last - 1].glyph == ' ') {
            last--;
        }
        for (int column = 0; column < last; column++) {
            append_utf8(out, cells[column].glyph);
        }
        text_append(out, "\n");
    }
}

void grid_dump_roles(const struct grid *grid, struct text *out)
{
    static const char letters[ROLE_COUNT] = {
        [ROLE_PLAIN] = ' ',  [ROLE_TITLE] = 'T',  [ROLE_DIM] = 'd',   [ROLE_SELECTED] = 'S',
        [ROLE_GOOD] = 'g',   [ROLE_WARN] = 'w',   [ROLE_BAD] = 'b',   [ROLE_FIRST] = '1',
        [ROLE_SECOND] = '2', [ROLE_PINNED] = 'p', [ROLE_FRAME] = 'f', [ROLE_KEY] = 'k'};
    for (int row = 0; row < grid->rows; row++) {
        const struct grid_cell *cells = grid->cells + (size_t)row * (size_t)grid->columns;
        int last = grid->columns;
        while (last > 0 && cells[last - 1].role == ROLE_PLAIN) {
            last--;
        }
        for (int column = 0; column < last; column++) {
            text_append_bytes(out, &letters[cells[column].role], 1);
        }
        text_append(out, "\n");
    }
}
