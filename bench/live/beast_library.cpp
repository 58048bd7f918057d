// Beast's own functions, compiled once for all that use them (see
// BOOST_BEAST_SEPARATE_COMPILATION).

#include <boost/beast/src.hpp>
