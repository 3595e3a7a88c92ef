/* The least that could be called such a program: curses, SQLite in the same mode, one screen of panels drawn
 * from prepared statements on the very file that the board is measured on, a clock, a row that moves, one
 * durable entry. No checks and no features: the board is measured beside it in the same run. floor_app FILE
 * arrows move, h shows all weights of a cow and goes back, t makes an entry, q leaves */
#include <curses.h>
#include <locale.h>
#include <poll.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

enum { POINTS_MOST = 1 << 20, COWS = 4 };

static sqlite3 *db;
static sqlite3_stmt *newest, *home, *days, *life, *entry;
static int chosen, showing_life;
static int32_t points[POINTS_MOST];
static volatile sig_atomic_t ended;

static void on_end(int number)
{
    (void)number;
    ended = 1;
}

static sqlite3_stmt *prepared(const char *sql)
{
    sqlite3_stmt *s = NULL;
    if (sqlite3_prepare_v3(db, sql, -1, SQLITE_PREPARE_PERSISTENT, &s, NULL) != SQLITE_OK)
        exit(3);
    return s;
}

static void open_records(const char *path)
{
    if (sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) != SQLITE_OK)
        exit(3);
    (void)sqlite3_exec(db,
                       "PRAGMA journal_mode = TRUNCATE; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;",
                       NULL, NULL, NULL);
    newest = prepared(
        "SELECT c.name, (SELECT at FROM milk WHERE cow_id = c.id ORDER BY at DESC LIMIT 1),"
        " (SELECT mass_g FROM milk WHERE cow_id = c.id ORDER BY at DESC LIMIT 1) FROM cow AS c LIMIT 4");
    home = prepared("SELECT b.code, t.count FROM tally_place AS t JOIN batch AS b ON b.id = t.batch_id"
                    " WHERE t.place IN ('tub', 'table', 'fridge', 'freezer') LIMIT 8");
    days = prepared("SELECT mass_g FROM milk WHERE cow_id = 1 ORDER BY at DESC LIMIT 365");
    life = prepared("SELECT mass_g FROM milk WHERE cow_id = ?1 ORDER BY at");
    entry = prepared("INSERT INTO note (at, text) VALUES (?1, 'x')");
}

static void plot(int top, int rows, int cols, int n)
{
    int32_t high = 1;
    for (int i = 0; i < n; i++)
        high = points[i] > high ? points[i] : high;
    for (int x = 0; x < cols && n > 0; x++) {
        int from = (int)((int64_t)x * n / cols), to = (int)((int64_t)(x + 1) * n / cols);
        int32_t best = points[from < n ? from : n - 1];
        for (int i = from; i < to; i++)
            best = points[i] > best ? points[i] : best;
        (void)mvaddstr(top + rows - 1 - (int)((int64_t)best * (rows - 1) / high), x, "\xE2\xA3\xBF");
    }
}

static int read_points(sqlite3_stmt *s)
{
    int n = 0;
    while (n < POINTS_MOST && sqlite3_step(s) == SQLITE_ROW)
        points[n++] = sqlite3_column_int(s, 0);
    (void)sqlite3_reset(s);
    return n;
}

static void draw_clock(void)
{
    char text[20];
    time_t now = time(NULL);
    struct tm tm;
    (void)strftime(text, sizeof text, "%H:%M:%S", localtime_r(&now, &tm));
    (void)mvaddstr(0, COLS - 10, text);
}

static void draw_rows(void)
{
    for (int row = 0; row < COWS && sqlite3_step(newest) == SQLITE_ROW; row++) {
        if (row == chosen)
            (void)attron(A_REVERSE);
        (void)mvprintw(2 + row, 2, "%-12.12s %12lld %6.1f kg", (const char *)sqlite3_column_text(newest, 0),
                       (long long)sqlite3_column_int64(newest, 1), sqlite3_column_int(newest, 2) / 1000.0);
        (void)attroff(A_REVERSE);
    }
    (void)sqlite3_reset(newest);
}

static void draw(void)
{
    (void)erase();
    if (showing_life) {
        (void)sqlite3_bind_int(life, 1, 1 + chosen);
        plot(1, LINES - 1, COLS, read_points(life));
    } else {
        (void)mvhline(1, 0, ACS_HLINE, COLS);
        draw_rows();
        (void)mvhline(7, 0, ACS_HLINE, COLS);
        for (int row = 0; row < 4 && sqlite3_step(home) == SQLITE_ROW; row++)
            (void)mvprintw(2 + row, 44, "%-12.12s %4d", (const char *)sqlite3_column_text(home, 0),
                           sqlite3_column_int(home, 1));
        (void)sqlite3_reset(home);
        plot(8, LINES - 9, COLS, read_points(days));
        (void)mvaddstr(LINES - 1, 1, "q leave"); /* the last words of the picture, as on the board */
    }
    draw_clock();
}

static void make_entry(void)
{
    (void)sqlite3_bind_int64(entry, 1, (sqlite3_int64)time(NULL));
    (void)sqlite3_step(entry);
    (void)sqlite3_reset(entry);
    (void)mvprintw(0, 20, "saved %lld", (long long)sqlite3_last_insert_rowid(db));
}

static int press(int key)
{
    switch (key) {
    case 'q': return 1;
    case KEY_DOWN:
    case KEY_UP:
        chosen = (chosen + (key == KEY_DOWN ? 1 : COWS - 1)) % COWS;
        draw_rows();
        break;
    case 'h':
        showing_life = !showing_life;
        draw();
        break;
    case 't': make_entry(); break;
    default: break;
    }
    return 0;
}

int main(int argc, char *argv[])
{
    if (argc < 2)
        return 2;
    (void)setlocale(LC_ALL, "");
    open_records(argv[1]);
    (void)initscr();
    (void)cbreak();
    (void)noecho();
    (void)keypad(stdscr, TRUE);
    (void)nodelay(stdscr, TRUE);
    (void)curs_set(0);
    (void)signal(SIGTERM, on_end);
    (void)signal(SIGHUP, on_end);
    draw();
    (void)refresh();
    int timer = timerfd_create(CLOCK_REALTIME, TFD_CLOEXEC | TFD_NONBLOCK), leave = 0;
    struct itimerspec at = {{1, 0}, {time(NULL) + 1, 0}};
    (void)timerfd_settime(timer, TFD_TIMER_ABSTIME, &at, NULL);
    while (!ended && !leave) {
        struct pollfd fds[2] = {{0, POLLIN, 0}, {timer, POLLIN, 0}};
        uint64_t ticks;
        (void)poll(fds, 2, -1);
        if (fds[1].revents != 0 && read(timer, &ticks, sizeof ticks) > 0)
            draw_clock();
        for (int key; !leave && (key = getch()) != ERR;)
            leave = press(key);
        (void)refresh();
    }
    (void)endwin();
    (void)sqlite3_close(db);
    return 0;
}
