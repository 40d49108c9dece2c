/* What LeakSanitizer is to pass over; it asks by this name (Makefile, TEST_LDFLAGS). */

/* fontconfig keeps what it read of the system's fonts until the process ends: not ours to free. */
const char *__lsan_default_suppressions(void); /* NOLINT(bugprone-reserved-identifier): its name */
const char *__lsan_default_suppressions(void)  /* NOLINT(bugprone-reserved-identifier) */
{
    return "leak:libfontconfig\n";
}
