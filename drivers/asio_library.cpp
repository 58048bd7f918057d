// Asio's own functions, compiled once for all that use them (see BOOST_ASIO_SEPARATE_COMPILATION).

#include <boost/asio/impl/src.hpp>
