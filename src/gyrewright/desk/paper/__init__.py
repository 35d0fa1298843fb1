"""Paper: printed sheets. Each is data from the services, set by a template beside; nothing typed becomes markup."""
