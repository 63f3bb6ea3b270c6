#include "cli/serve_mhd.h"

#include <dlfcn.h>

#define LIBRARY "libmicrohttpd.so.12"

static swl_status refuse(swl_err *err)
{
    return swl_err_set(err, SWL_ERR_READ, "the library of the page could not be loaded: %s", dlerror());
}

swl_status serve_mhd_load(serve_mhd *mhd, swl_err *err)
{
    void *library = dlopen(LIBRARY, RTLD_NOW | RTLD_LOCAL);
    if (library == NULL) {
        return refuse(err);
    }
/* POSIX has a pointer to a function fit into one to data. */
#define LOAD(name)                                                                                                     \
    *(void **)(&mhd->name) = dlsym(library, "MHD_" #name);                                                             \
    if (mhd->name == NULL) {                                                                                           \
        return refuse(err);                                                                                            \
    }
    SERVE_MHD_FUNCTIONS(LOAD)
#undef LOAD
    return SWL_OK;
}
