printf '\357\273\277' >build.ini
