#include "sweptline/progress.h"

void swl_progress_tell(const swl_progress *progress, const char *what, size_t done, size_t of)
{
    if (progress != NULL && progress->tell != NULL) {
        progress->tell(progress->context, what, done, of);
    }
}
